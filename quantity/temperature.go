package quantity

import "strings"

// Temperature is a temperature as written, "40 °C" or "110 °F".
type Temperature struct{ sized }

// AbsoluteZeroC is 0 K in °C.
const AbsoluteZeroC = -273.15

// Celsius returns a temperature of c °C.
func Celsius(c float64) Temperature { return Temperature{sized{c, "°C"}} }

// ParseTemperature reads a temperature between -50 and 300 °C.
func ParseTemperature(text string) (Temperature, error) {
	v, word, err := split(text)
	if err != nil {
		return Temperature{}, err
	}
	var t Temperature
	switch strings.ToLower(strings.ReplaceAll(word, " ", "")) {
	case "°c", "c", "ºc", "celsius":
		t = Temperature{sized{v, "°C"}}
	case "°f", "f", "ºf", "fahrenheit":
		t = Temperature{sized{v, "°F"}}
	case "":
		return t, fail("write °C or °F after it", "%q does not say °C or °F", shorten(text))
	default:
		return t, fail("write °C or °F", "%q is not a unit of temperature", shorten(word))
	}
	if t.C() < -50 || t.C() > 300 {
		return Temperature{}, fail("temperatures lie between -50 and 300 °C", "%q is not a temperature of a workshop", shorten(text))
	}
	return t, nil
}

// C returns the temperature in °C.
func (t Temperature) C() float64 {
	if t.Unit == "°F" {
		return (t.Value - 32) / 1.8
	}
	return t.Value
}

// UnmarshalText reads the temperature from a TOML or JSON string.
func (t *Temperature) UnmarshalText(b []byte) (err error) {
	*t, err = ParseTemperature(string(b))
	return err
}
