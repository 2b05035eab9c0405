package lineage

import (
	"fmt"
	"slices"
	"testing"
)

// papers are A4 and Letter, landscape.
var papers = [][2]float64{{297, 210}, {279.4, 215.9}}

// TestManyBatchesTakePages: every box is whole on one page.
func TestManyBatchesTakePages(t *testing.T) {
	var list []planned
	for n := range 6 {
		list = append(list, line(2024, n+1)...)
	}
	d := drawing(t, list, "")
	for _, paper := range papers {
		scale, tiles := d.tiles(paper[0], paper[1])
		if scale != leastScale || len(tiles) < 2 {
			t.Errorf("%d tiles at scale %g", len(tiles), scale)
		}
		for i, t2 := range tiles {
			if i > 0 && t2.page == tiles[i-1].page && t2.y < tiles[i-1].y+(tiles[i-1].bottom-tiles[i-1].top+dateStrip)*scale {
				t.Errorf("tiles %d and %d overlap on page %d", i-1, i, t2.page+1)
			}
		}
		for i, part := range tiles {
			dates, columns, whole := len(d.datesOver(part)), 0, 0
			for _, column := range d.lay.columns {
				if l := left(column[0].column); l >= part.left && l+boxWidth <= part.right {
					columns++
				}
				for _, n := range column {
					if !n.bend && onOnePage(n, []tile{part}) {
						whole++
					}
				}
			}
			if dates != columns || whole == 0 {
				t.Errorf("part %d: dates over %d columns of %d, %d whole boxes", i, dates, columns, whole)
			}
		}
		w, h := room(paper[0], paper[1])
		for _, tile := range tiles {
			if (tile.right-tile.left)*scale > w+0.01 || tile.y+(tile.bottom-tile.top)*scale > pageTop+h+0.01 || tile.y < pageTop+dateStrip*scale-0.01 {
				t.Errorf("a tile at %g of %g x %g mm has %g x %g", tile.y, (tile.right-tile.left)*scale, (tile.bottom-tile.top)*scale, w, h)
			}
		}
		for _, column := range d.lay.columns {
			for _, n := range column {
				if !n.bend && !onOnePage(n, tiles) {
					t.Errorf("%s is cut", n.code)
				}
			}
		}
	}
}

// TestBandsKeepBoxesWhole: boxes of two columns stand so that every level line cuts one.
func TestBandsKeepBoxesWhole(t *testing.T) {
	d := &Drawing{lay: &layout{columns: make([][]*node, 2)}}
	for i := range 20 {
		d.lay.columns[i%2] = append(d.lay.columns[i%2], &node{code: fmt.Sprint(i), column: i % 2, y: 10 + 12*float64(i), height: 20})
	}
	d.lay.height = 10 + 12*19 + 10
	var tiles []tile
	for _, band := range d.bands(100, 0, 2) {
		if band[1]-band[0] > 100 {
			t.Errorf("a band of %g mm", band[1]-band[0])
		}
		tiles = append(tiles, tile{left: 0, right: 200, top: band[0], bottom: band[1]})
	}
	for _, column := range d.lay.columns {
		for _, n := range column {
			if !onOnePage(n, tiles) {
				t.Errorf("box %s is cut on every page", n.code)
			}
		}
	}
}

// TestNoBandWithoutABox: lines alone, above, between and under the boxes, make no page; they
// go along where there is room.
func TestNoBandWithoutABox(t *testing.T) {
	box := func(y float64) *node { return &node{code: "box", y: y, height: 20} }
	bend := func(y float64) *node { return &node{bend: true, y: y, height: bendRoom} }
	for _, c := range []struct {
		nodes []*node
		want  [][2]float64 // of the drawing, from columnTop on
	}{
		{[]*node{bend(0), box(100), bend(400)}, [][2]float64{{88, 188}}},
		{[]*node{bend(70), box(100), bend(130)}, [][2]float64{{64, 132}}},
		{[]*node{box(10), bend(150), box(400)}, [][2]float64{{-2, 98}, {385, 412}}},
		{[]*node{box(10), box(88.5)}, [][2]float64{{-2, 78}, {77.5, 100.5}}},
	} {
		d := &Drawing{lay: &layout{columns: [][]*node{c.nodes}}}
		bands := d.bands(100, 0, 1)
		for i := range bands {
			bands[i][0], bands[i][1] = bands[i][0]-columnTop, bands[i][1]-columnTop
		}
		if !slices.Equal(bands, c.want) {
			t.Errorf("got %v, want %v", bands, c.want)
		}
	}
}

func onOnePage(n *node, tiles []tile) bool {
	l, top := left(n.column), n.y+columnTop-n.height/2
	return slices.ContainsFunc(tiles, func(t tile) bool {
		return l >= t.left && l+boxWidth <= t.right && top >= t.top && top+n.height <= t.bottom
	})
}
