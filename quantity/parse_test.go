package quantity

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// written parses a text as the quantity of that name and prints it again.
func written(kind, text string) (string, error) {
	show := func(q interface{ String() string }, err error) (string, error) { return q.String(), err }
	switch kind {
	case "mass":
		return show(ParseMass(text))
	case "volume":
		return show(ParseVolume(text))
	case "temperature":
		return show(ParseTemperature(text))
	case "share":
		return show(ParseShare(text))
	case "range":
		return show(ParseShareRange(text))
	case "length":
		return show(ParseLength(text))
	case "sides":
		return show(ParseSides(text))
	case "duration":
		return show(ParseDuration(text))
	case "amount":
		return show(ParseAmount(text))
	case "bars":
		return show(ParseBars(text))
	case "stuff":
		return show(ParseStuff(text))
	case "limit":
		return show(ParseBarLimit(text))
	case "price":
		return show(ParsePrice(text))
	}
	panic(kind)
}

func TestAccepted(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ kind, text, want string }{
		{"mass", "880 g", "880 g"},
		{"mass", "880g", "880 g"},
		{"mass", "0,5 kg", "0.5 kg"},
		{"mass", "1.040 kg", "1.04 kg"},
		{"mass", "0,125 kg", "0.125 kg"},
		{"mass", "1040,5 g", "1040.5 g"},
		{"mass", "2 1/2 oz", "2.5 oz"},
		{"mass", "2½ oz", "2.5 oz"},
		{"mass", "1⁄4 lb", "0.25 lb"},
		{"mass", "1\u00a0lb", "1 lb"},
		{"mass", "12\u202fg", "12 g"},
		{"mass", "3 Pounds", "3 lb"},
		{"mass", "1\u202f020 g", "1020 g"},
		{"mass", "1 040 g", "1040 g"},
		{"mass", "12\u00a0862,5\u202fg", "12862.5 g"},
		{"mass", "12\u2009862,125 g", "12862.125 g"},
		{"mass", "12.345 g", "12.345 g"},
		{"mass", "1020.000 g", "1020 g"},
		{"mass", "0.000125 kg", "0.000125 kg"},
		{"volume", "1\u202f020\u202fml", "1020 ml"},
		{"amount", "1 020 g", "1020 g"},
		{"bars", "1 100 x 100 g", "1100 x 100 g"},
		{"sides", "1 250 x 90 x 65 mm", "1250 x 90 x 65 mm"},
		{"stuff", "steel 1 200 g", "steel 1200 g"},
		{"price", "5.10 / kg", "5.1 / kg"},
		{"price", "4.20 per kg", "4.2 / kg"},
		{"price", "4,20/kg", "4.2 / kg"},
		{"price", "€4.20 / kg", "4.2 EUR / kg"},
		{"price", "4,20 EUR/kg", "4.2 EUR / kg"},
		{"price", "EUR 4,20 a kilo", "4.2 EUR / kg"},
		{"price", "2.10 / 500 g", "2.1 / 500 g"},
		{"price", "3.20 for 500 g", "3.2 / 500 g"},
		{"price", "3.20 for 300 g", "3.2 / 300 g"},
		{"price", "1\u202f020 / kg", "1020 / kg"},
		{"price", "19 / 1 kg", "19 / kg"},
		{"price", "3.10 per litre", "3.1 / l"},
		{"price", "3.10/l", "3.1 / l"},
		{"price", "7 / 750 ml", "7 / 750 ml"},
		{"price", "0.08 each", "0.08 each"},
		{"price", "0.08 / piece", "0.08 each"},
		{"price", "£0.08 each", "0.08 GBP each"},
		{"price", "0 / kg", "0 / kg"},
		{"mass", ".5 kg", "0.5 kg"},
		{"mass", "10000000 g", "10000000 g"},
		{"mass", "0.000001 g", "0.000001 g"},
		{"volume", "15 ml", "15 ml"},
		{"volume", "1/2 tsp us", "0.5 tsp us"},
		{"volume", "1 1/2 tablespoons US", "1.5 tbsp us"},
		{"volume", "2 fl. oz. uk", "2 fl oz uk"},
		{"volume", "2  fluid  ounces  us", "2 fl oz us"},
		{"volume", "0,25 l", "0.25 l"},
		{"temperature", "40 °C", "40 °C"},
		{"temperature", "40C", "40 °C"},
		{"temperature", "40 º C", "40 °C"},
		{"temperature", "110 °F", "110 °F"},
		{"temperature", "-18 °C", "-18 °C"},
		{"temperature", "\u221218 °C", "-18 °C"},
		{"temperature", "-0 °C", "0 °C"},
		{"temperature", "-50 °C", "-50 °C"},
		{"temperature", "300 °C", "300 °C"},
		{"share", "5 %", "5 %"},
		{"share", "98,5 %", "98.5 %"},
		{"share", "33%", "33 %"},
		{"share", "0 %", "0 %"},
		{"share", "5 per cent", "5 %"},
		{"range", "98 % to 99.5 %", "98 % to 99.5 %"},
		{"range", "98 to 99,5 %", "98 % to 99.5 %"},
		{"range", "98\u00a0%\u00a0to\u00a098\u00a0%", "98 % to 98 %"},
		{"length", "12 mm", "12 mm"},
		{"length", `3 "`, "3 in"},
		{"sides", "250 x 90 x 65 mm", "250 x 90 x 65 mm"},
		{"sides", "250×90×65 mm", "250 x 90 x 65 mm"},
		{"sides", "68 mm x 253 mm", "68 x 253 mm"},
		{"sides", "3 1/2 x 10 in", "3.5 x 10 in"},
		{"sides", "25,5\u202fx\u202f9 cm", "25.5 x 9 cm"},
		{"duration", "24 h", "24 h"},
		{"duration", "90 minutes", "90 min"},
		{"amount", "1.5 %", "1.5 %"},
		{"amount", "2 per cent", "2 %"},
		{"amount", "20 g", "20 g"},
		{"amount", "1 tbsp us", "1 tbsp us"},
		{"amount", "1 tablespoon us", "1 tbsp us"},
		{"amount", "15 ml", "15 ml"},
		{"bars", "11 x 100 g", "11 x 100 g"},
		{"bars", "11×3,5 oz", "11 x 3.5 oz"},
		{"stuff", "none", "none"},
		{"stuff", "softwood 12 mm", "softwood 12 mm"},
		{"stuff", "Corrugated  card 4mm", "corrugated card 4 mm"},
		{"stuff", "steel 1,2 kg", "steel 1.2 kg"},
		{"stuff", "steel .5 kg", "steel 0.5 kg"},
		{"limit", "0.7 % of bar", "0.7 % of bar"},
		{"limit", "0,7% of bar", "0.7 % of bar"},
	} {
		got, err := written(c.kind, c.text)
		if err != nil || got != c.want {
			t.Errorf("%s %q: %q, %v; want %q", c.kind, c.text, got, err, c.want)
		}
	}
}

const (
	plainNumber = `write a plain number with its unit, like "5.5 %" or "880 g"`
	massWords   = "use one of: g, kg, oz, lb, mg"
	countries   = "write us, uk or metric after it: a US tablespoon holds 14.8 ml, a metric one 15 ml, an old imperial one 17.8 ml"
	priceForm   = `write it like "5.10 / kg", "3.20 / 500 g" or "0.08 each"`
	noCurrency  = "leave the currency out: prices are in the workshop's own"
	percent     = `write it in per cent, like "5 %"`
)

func TestRefused(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ kind, text, want, hint string }{
		{"mass", "", `"" has no number`, plainNumber},
		{"mass", "g", `"g" has no number`, plainNumber},
		{"mass", "NaN g", `"NaN g" has no number`, plainNumber},
		{"mass", "Inf", `"Inf" has no number`, plainNumber},
		{"mass", "--5 g", `"--5 g" is not one number`, plainNumber},
		{"mass", "5 5 g", `"5 5 g" is not one number`, plainNumber},
		{"mass", "1 04 g", `"1 04 g" is not one number`, plainNumber},
		{"mass", "0 500 g", `"0 500 g" is not one number`, plainNumber},
		{"mass", "1 040 1/2 g", `"1 040 1/2 g" is not one number`, plainNumber},
		{"mass", "1.000 g", `"1.000 g" can be read two ways: is the point a decimal point or does it part thousands?`, "write 1000 or 1"},
		{"mass", "1,000 g", `"1,000 g" can be read two ways: is the comma a decimal comma or does it part thousands?`, "write 1000 or 1"},
		{"mass", "125.000 g", `"125.000 g" can be read two ways: is the point a decimal point or does it part thousands?`, "write 125000 or 125"},
		{"mass", "1.040,5 g", `"1.040,5 g" has a mark between its thousands`, "write 1040.5 or 1040,5"},
		{"mass", "-1,040.5 g", `"-1,040.5 g" has a mark between its thousands`, "write -1040.5 or -1040,5"},
		{"mass", "1.04,5 g", `"1.04,5 g" is not one number`, plainNumber},
		{"mass", "1/0 kg", `"1/0 kg" is not one number`, plainNumber},
		{"mass", "1,040/2 g", `"1,040/2 g" is not one number`, plainNumber},
		{"mass", "9999999999999999/1 g", `"9999999999999999/1 g" is not one number`, plainNumber},
		{"mass", ". g", `". g" is not one number`, plainNumber},
		{"mass", "1,040 g", `"1,040 g" can be read two ways: is the comma a decimal comma or does it part thousands?`, "write 1040 or 1.040"},
		{"mass", "12,345 g", `"12,345 g" can be read two ways: is the comma a decimal comma or does it part thousands?`, "write 12345 or 12.345"},
		{"mass", "1e9", `"e9" is not a unit of mass`, massWords},
		{"mass", "10000001 g", `"10000001 g" is beyond any batch`, "is the unit right?"},
		{"mass", "0.0000009 g", `"0.0000009 g" is too little to measure`, "is the unit right?"},
		{"mass", "0 g", `"0 g" is not a mass to weigh`, "a mass is more than zero"},
		{"mass", "-3 g", `"-3 g" is below zero`, "a mass is more than zero"},
		{"mass", "\u2212880", `"−880" is below zero`, "a mass is more than zero"},
		{"volume", "-3", `"-3" is below zero`, "a volume is more than zero"},
		{"amount", "-3", `"-3" is below zero`, "an amount is more than zero"},
		{"share", "\u22125", `"−5" is below zero`, "a share is zero or more"},
		{"mass", "880", `"880" has no unit`, massWords},
		{"mass", "880 gr", `"gr" is not a unit of mass`, `did you mean "g"? ` + massWords},
		{"mass", "5 ki", `"ki" is not a unit of mass`, `did you mean "kg"? ` + massWords},
		{"mass", "5 ml", `"ml" is not a unit of mass`, "weigh it, and write g, kg, oz or lb"},
		{"mass", "5\n6 g", `"6 g" is not a unit of mass`, massWords},
		{"volume", "1 tbsp", `"1 tbsp" does not say which country's tbsp`, countries},
		{"volume", "2 cups", `"2 cups" does not say which country's cup`, countries},
		{"volume", "0 ml", `"0 ml" is not a volume to measure`, "a volume is more than zero"},
		{"volume", "1 tbsp fr", `"tbsp fr" is not a unit of volume`,
			`did you mean "tbsp us"? use one of: ml, l, tsp us, tbsp us, fl oz us, cup us, tsp uk, tbsp uk, fl oz uk, cup uk, tsp metric, tbsp metric, cup metric`},
		{"temperature", "40", `"40" does not say °C or °F`, "write °C or °F after it"},
		{"temperature", "313 K", `"K" is not a unit of temperature`, "write °C or °F"},
		{"temperature", "-51 °C", `"-51 °C" is not a temperature of a workshop`, "temperatures lie between -50 and 300 °C"},
		{"temperature", "573 °F", `"573 °F" is not a temperature of a workshop`, "temperatures lie between -50 and 300 °C"},
		{"share", "5", `"5" has no unit`, percent},
		{"share", "5 %%", `"5 %%" is not a share`, percent},
		{"share", "-5 %", `"-5 %" is below zero`, "a share is zero or more"},
		{"share", "nan", `"nan" has no number`, plainNumber},
		{"range", "98 %", `"98 %" is not a range`, `write it like "98 % to 99.5 %"`},
		{"range", "99 % to 98 %", `"99 % to 98 %" runs downward`, `write it like "98 % to 99.5 %"`},
		{"range", "98 % to 99", `"99" has no unit`, percent},
		{"length", "0 mm", `"0 mm" is not a length`, "a length is more than zero"},
		{"length", "5 m", `"m" is not a unit of length`, `did you mean "mm"? use one of: mm, cm, in`},
		{"sides", "250 mm", `"250 mm" is not two or three sides`, `write it like "250 x 90 x 65 mm"`},
		{"sides", "1 x 2 x 3 x 4 mm", `"1 x 2 x 3 x 4 mm" is not two or three sides`, `write it like "250 x 90 x 65 mm"`},
		{"sides", "250 xx 90 mm", `"250 xx 90 mm" is not two or three sides`, `write it like "250 x 90 x 65 mm"`},
		{"sides", "250 x 90", `"90" has no unit`, "use one of: mm, cm, in"},
		{"sides", "25 cm x 90 mm", `"25 cm x 90 mm" mixes cm and mm`, `write it like "250 x 90 x 65 mm"`},
		{"sides", "-25 x 90 mm", `"-25 mm" is below zero`, "a length is more than zero"},
		{"duration", "0 h", `"0 h" is no time at all`, "a span of time is more than zero"},
		{"duration", "a day", `"a day" has no number`, plainNumber},
		{"amount", "5 %%", `"5 %%" is not a share`, percent},
		{"amount", "5 % of fats", `"5 % of fats" is not a share`, percent},
		{"amount", "2 spoons", `"spoons" is not a unit of mass or volume`,
			"use one of: %, g, kg, oz, lb, mg, ml, l, tsp us, tbsp us, fl oz us, cup us, tsp uk, tbsp uk, fl oz uk, cup uk, tsp metric, tbsp metric, cup metric"},
		{"amount", "1 tsp", `"1 tsp" does not say which country's tsp`, countries},
		{"amount", "5", `"5" has no unit`,
			"use one of: %, g, kg, oz, lb, mg, ml, l, tsp us, tbsp us, fl oz us, cup us, tsp uk, tbsp uk, fl oz uk, cup uk, tsp metric, tbsp metric, cup metric"},
		{"bars", "100 g", `"100 g" is not a number of bars and their weight`, `write it like "11 x 100 g", the weight of a cured bar`},
		{"bars", "0 x 100 g", `"0 x 100 g" is not a number of bars and their weight`, `write it like "11 x 100 g", the weight of a cured bar`},
		{"bars", "-2 x 100 g", `"-2 x 100 g" is not a number of bars and their weight`, `write it like "11 x 100 g", the weight of a cured bar`},
		{"bars", "1.5 x 100 g", `"1.5 x 100 g" is not a number of bars and their weight`, `write it like "11 x 100 g", the weight of a cured bar`},
		{"bars", "11 x 100", `"100" has no unit`, massWords},
		{"stuff", "", `"" does not say of what`, `write what it is first, like "softwood 12 mm" or "steel 1.2 kg"`},
		{"stuff", "12 mm", `"12 mm" does not say of what`, `write what it is first, like "softwood 12 mm" or "steel 1.2 kg"`},
		{"stuff", "none 12 mm", `"none 12 mm": nothing has no size`, `write "none" alone, or what it is, like "softwood 12 mm"`},
		{"stuff", "steel 12 ml", `"ml" is not a unit of length or mass`, `did you mean "mm"? use one of: mm, cm, in, g, kg, oz, lb, mg`},
		{"stuff", "steel -12 mm", `"-12 mm" is below zero`, "a length is more than zero"},
		{"stuff", "steel 0 kg", `"0 kg" is not a mass to weigh`, "a mass is more than zero"},
		{"limit", "0.7 %", `"0.7 %" does not say of what`, `write it like "0.7 % of bar", the most its document allows in the finished bar`},
		{"limit", "101 % of bar", `"101 % of bar" is more than the whole bar`, `write it like "0.7 % of bar", the most its document allows in the finished bar`},
		{"limit", "of bar", `"" has no number`, plainNumber},
		{"price", "4,20", `"4,20" does not say per what`, priceForm},
		{"price", "4.20 /", `"4.20 /" does not say per what`, priceForm},
		{"price", "-4 / kg", `"-4 / kg" is not a price: it is below zero`, priceForm},
		{"price", "1,200 / kg", `"1,200" can be read two ways: is the comma a decimal comma or does it part thousands?`, "write 1200 or 1.200"},
		{"price", "4 / gr", `"gr" is not a unit of mass or volume`, `did you mean "g"? use one of: g, kg, oz, lb, mg, ml, l`},
		{"price", "4 / 0 g", `"0 g" is an empty pack`, "a pack is more than zero"},
		{"price", "4 / -5 g", `"-5 g" is below zero`, "a mass or volume is more than zero"},
		{"price", "$4 / kg", `"$" may be USD, AUD, CAD, HKD, MXN, NZD or SGD`, noCurrency},
		{"price", "45 kr/kg", `"kr" may be DKK, ISK, NOK or SEK`, noCurrency},
		{"price", "4 beans / kg", `"beans" is not a currency known here`, noCurrency},
	} {
		_, err := written(c.kind, c.text)
		var e *Error
		if !errors.As(err, &e) {
			t.Errorf("%s %q: no error but %v", c.kind, c.text, err)
			continue
		}
		if e.Error() != c.want || e.Hint() != c.hint {
			t.Errorf("%s %q:\n got %s\nhint %s\nwant %s\nhint %s", c.kind, c.text, e, e.Hint(), c.want, c.hint)
		}
	}
}

// However long the text, an error quotes a little of it.
func TestLongTexts(t *testing.T) {
	t.Parallel()
	for _, text := range []string{strings.Repeat("9", 10000) + " g", "0." + strings.Repeat("0", 10000) + "1 g", "5 " + strings.Repeat("g", 10000),
		strings.Repeat("\n", 10000) + "5", strings.Repeat("-", 10000), strings.Repeat("x", 10000), strings.Repeat("\u2028", 10000)} {
		for _, kind := range []string{"mass", "volume", "temperature", "share", "range", "length", "sides", "duration", "amount", "bars", "stuff", "limit", "price"} {
			q, err := written(kind, text)
			if err == nil && kind == "stuff" { // a long name: mould.CheckStuff refuses it
				continue
			}
			if err == nil {
				t.Errorf("%s of %d letters: %.40q and no error", kind, len(text), q)
				continue
			}
			if problem := untidy(err); problem != "" {
				t.Errorf("%s of %d letters: %s", kind, len(text), problem)
			}
		}
	}
	if v, err := ParseMass("0.5" + strings.Repeat("0", 10000) + " g"); err != nil || v.G() != 0.5 {
		t.Errorf("half a gram with many digits: %v, %v", v, err)
	}
}

// A workshop's own currency settles what a sign means; another one is told.
func TestPriceInCurrency(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ text, currency, want string }{
		{"$4 / kg", "CAD", "4 / kg"},
		{"45 kr per kg", "nok", "45 / kg"},
		{"4 CHF / 500 g", "CHF", "4 / 500 g"},
		{"€4 / kg", "GBP", "prices are kept in GBP here, and this one is in €"},
		{"4 USD / kg", "EUR", "prices are kept in EUR here, and this one is in USD"},
	} {
		p, err := ParsePriceIn(c.text, c.currency)
		got := p.String()
		if err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%q in %s: %q, want %q", c.text, c.currency, got, c.want)
		}
	}
}

// A pack is kept as bought, and counted exactly.
func TestPriceOfAPack(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text          string
		perGram, each float64 // each: of a millilitre
	}{{"2.10 / 500 g", 2.1 / 500, 0}, {"5.10 / kg", 5.1 / 1000, 0}, {"3.20 for 300 g", 3.2 / 300, 0}, {"3.10 / l", 0, 3.1 / 1000}, {"7 / 750 ml", 0, 7.0 / 750}, {"0.08 each", 0, 0}} {
		p, err := ParsePrice(c.text)
		if err != nil {
			t.Fatal(err)
		}
		g, isMass := p.PerGram()
		ml, isVolume := p.PerML()
		if math.Abs(g-c.perGram) > 1e-15 || math.Abs(ml-c.each) > 1e-15 || isMass != (c.perGram > 0) || isVolume != (c.each > 0) {
			t.Errorf("%q: %g a gram (%v), %g a millilitre (%v)", c.text, g, isMass, ml, isVolume)
		}
	}
}
