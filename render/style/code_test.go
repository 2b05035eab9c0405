package style

import (
	"math"
	"strings"
	"testing"
)

// TestCodeIsDrawnWhole compares the rectangles with the code square by square.
func TestCodeIsDrawnWhole(t *testing.T) {
	c, err := CodeOf("KS-26-01 e1aaf6d62d08")
	if err != nil {
		t.Fatal(err)
	}
	const x, y, side = 7.0, 11.0, 20.0
	module := side / float64(c.Modules()+2*Quiet)
	drawn := 0.0
	for _, r := range c.Rectangles(x, y, side) {
		row := int(math.Round((r.Y-y)/module)) - Quiet
		for i := range int(math.Round(r.Width / module)) {
			column := int(math.Round((r.X-x)/module)) - Quiet + i
			if !c.qr.Black(column, row) {
				t.Fatalf("a white square is drawn at %d, %d", column, row)
			}
		}
		drawn += r.Width * r.Height / module / module
	}
	black := 0.0
	for row := range c.Modules() {
		for column := range c.Modules() {
			if c.qr.Black(column, row) {
				black++
			}
		}
	}
	if math.Abs(drawn-black) > 1e-6 || black == 0 {
		t.Errorf("%g squares drawn, the code has %g", drawn, black)
	}
	if got := c.Border(side); math.Abs(got-4*module) > 1e-12 { // ISO/IEC 18004
		t.Errorf("border %g mm, four modules are %g", got, 4*module)
	}
}

func TestCodeRefusesWhatIsTooLong(t *testing.T) {
	if _, err := CodeOf(strings.Repeat("kelp", 1000)); err == nil {
		t.Error("a text of 4000 letters fits in no QR code of level M")
	}
}
