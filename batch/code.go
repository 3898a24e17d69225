package batch

import (
	"fmt"
	"strings"

	"barwright/quantity"
)

// Letters of a batch code. There are 17 consonants, a prime, none of them easily
// heard as another's name: c, q, x and z are left out.
const (
	consonants = "bdfghjklmnprstvwy"
	vowels     = "aeiou"
)

// Syllables are the pairs of a consonant and a vowel.
const syllables = len(consonants) * len(vowels)

// codes of two syllables serve the first 7,225 batches, codes of three the next
// 614,125. The stride scatters numbers that follow each other, and shares no
// factor with either (5 and 17); the shift begins with a word of four sounds.
const (
	stride = 4463
	shift  = 4100
)

// Code returns the code of a workshop's nth batch, n from 0: two syllables and
// a check letter, a word that can be said across a room, like "kotum". Numbers
// beyond any workshop panic.
func Code(n int) string {
	two, three := syllables*syllables, syllables*syllables*syllables
	switch {
	case n < 0 || n >= two+three:
		panic("batch: no code for this number")
	case n < two:
		return withCheck(spell((shift+n*stride)%two, 2))
	}
	return withCheck(spell((shift+(n-two)*stride)%three, 3))
}

func spell(v, pairs int) string {
	out := make([]byte, 2*pairs)
	for i := pairs - 1; i >= 0; i-- {
		out[2*i], out[2*i+1] = consonants[v%syllables/len(vowels)], vowels[v%len(vowels)]
		v /= syllables
	}
	return string(out)
}

// withCheck adds the check letter: the sum of the letters' places, each times
// its position, modulo 17. No position and no difference of two places is a
// multiple of 17, so one wrong letter always changes it. Swapped neighbours put
// a vowel where a consonant stands.
func withCheck(word string) string {
	sum := 0
	for i := range len(word) {
		sum += (i + 1) * strings.IndexByte(lettersAt(i), word[i])
	}
	return word + consonants[sum%len(consonants):][:1]
}

func lettersAt(i int) string {
	if i%2 == 0 {
		return consonants
	}
	return vowels
}

// CheckCode returns the code as it is kept, in small letters, or what is wrong
// with it.
func CheckCode(text string) (string, error) {
	code := strings.ToLower(strings.TrimSpace(text))
	if len(code) != 5 && len(code) != 7 {
		return "", &quantity.Error{Text: fmt.Sprintf("%.20q is no batch code", text), Advice: "a code has five letters, like kotum, or seven"}
	}
	for i := range len(code) {
		if strings.IndexByte(lettersAt(i), code[i]) < 0 {
			return "", &quantity.Error{Text: fmt.Sprintf("%.20q is no batch code: letter %d cannot be %q", text, i+1, code[i:i+1]), Advice: "consonants and vowels take turns, and c, q, x and z are never used"}
		}
	}
	if withCheck(code[:len(code)-1]) != code {
		return "", &quantity.Error{Text: fmt.Sprintf("%.20q is no batch code: a letter is wrong", text), Advice: "read it again, letter by letter"}
	}
	return code, nil
}

// NumberOf returns the number that a code is of.
func NumberOf(code string) (int, error) {
	code, err := CheckCode(code)
	if err != nil {
		return 0, err
	}
	v, all, first := 0, 1, 0
	for i := 0; i+1 < len(code)-1; i += 2 {
		v = v*syllables + strings.IndexByte(consonants, code[i])*len(vowels) + strings.IndexByte(vowels, code[i+1])
		all *= syllables
	}
	if len(code) > 5 {
		first = syllables * syllables
	}
	return first + (v-shift+all)*inverse(stride, all)%all, nil
}

// inverse returns the number that a is to be multiplied with to give 1 modulo m.
// They share no factor. Source: the extended algorithm of Euclid.
func inverse(a, m int) int {
	r0, r1, t0, t1 := m, a%m, 0, 1
	for r1 > 0 {
		q := r0 / r1
		r0, r1, t0, t1 = r1, r0-q*r1, t1, t0-q*t1
	}
	return (t0%m + m) % m
}
