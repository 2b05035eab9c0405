package workbook

import (
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// TestUnquoted holds unquoted against strconv.Unquote, of texts as they are written and of
// texts that nobody wrote so.
func TestUnquoted(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		text := rapid.StringOf(rapid.OneOf(rapid.Rune(), rapid.SampledFrom([]rune("\"\\\n\tx_041uU'")))).Draw(r, "text")
		if got, err := unquoted(quoted(text)); err != nil || got != text {
			r.Errorf("got %q, %v; want %q", got, err, text)
		}
		bare := rapid.SampledFrom([]string{"", `"`}).Draw(r, "before") + text + rapid.SampledFrom([]string{"", `"`}).Draw(r, "after")
		if len(bare) > 0 && bare[0] != '"' {
			return // Unquote takes other quotes too, which the manifest never has
		}
		want, wrong := strconv.Unquote(bare)
		got, err := unquoted(bare)
		if (err == nil) != (wrong == nil) || got != want {
			r.Errorf("%q: got %q, %v; want %q, %v", bare, got, err, want, wrong)
		}
	})
}
