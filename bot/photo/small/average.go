package small

import (
	"image"
	"image/color"
	"image/draw"
)

// average is a picture on white in another size, each of its points the mean of all that it covers. Whatever is left out or weighed
// less between the points of a copy, as quicker ways do, may be where a hairline crack runs.
func average(from image.Image, size image.Point) *image.RGBA {
	to := image.NewRGBA(image.Rectangle{Max: size})
	if seen, is := from.(*image.YCbCr); is {
		averageColours(to, seen)
		return to
	}
	area := from.Bounds()
	red, green, blue := newChannel(area.Size(), size), newChannel(area.Size(), size), newChannel(area.Size(), size)
	row := image.NewRGBA(image.Rect(0, 0, area.Dx(), 1))
	for y := area.Min.Y; y < area.Max.Y; y++ {
		draw.Draw(row, row.Rect, image.White, image.Point{}, draw.Src)
		draw.Draw(row, row.Rect, from, image.Pt(area.Min.X, y), draw.Over)
		red.take(row.Pix, 4)
		green.take(row.Pix[1:], 4)
		blue.take(row.Pix[2:], 4)
	}
	for n := range red.out {
		to.Pix[4*n], to.Pix[4*n+1], to.Pix[4*n+2], to.Pix[4*n+3] = red.out[n], green.out[n], blue.out[n], 255
	}
	return to
}

// averageColours does so with a JPEG, whose colours are kept apart from its light, and coarser.
func averageColours(to *image.RGBA, from *image.YCbCr) {
	plane := func(pix []byte, stride int, size image.Point) []byte {
		c := newChannel(size, to.Rect.Size())
		for y := range size.Y {
			c.take(pix[y*stride:], 1)
		}
		return c.out
	}
	whole := from.Rect.Size()
	coarse := image.Pt(from.COffset(from.Rect.Max.X-1, from.Rect.Min.Y)-from.COffset(from.Rect.Min.X, from.Rect.Min.Y)+1,
		(from.COffset(from.Rect.Min.X, from.Rect.Max.Y-1)-from.COffset(from.Rect.Min.X, from.Rect.Min.Y))/from.CStride+1)
	at := from.COffset(from.Rect.Min.X, from.Rect.Min.Y)
	light := plane(from.Y[from.YOffset(from.Rect.Min.X, from.Rect.Min.Y):], from.YStride, whole)
	blue, red := plane(from.Cb[at:], from.CStride, coarse), plane(from.Cr[at:], from.CStride, coarse)
	for n := range light {
		p := to.Pix[4*n : 4*n+4]
		p[0], p[1], p[2] = color.YCbCrToRGB(light[n], blue[n], red[n])
		p[3] = 255
	}
}

// channel averages one colour of a picture, which it takes row by row. It reckons in whole numbers: a point of the original is as wide
// as the copy has points across, and a point of the copy as wide as the original has.
type channel struct {
	from, to image.Point
	out      []byte   // of the copy
	spans    []span   // of the original, for each point across the copy
	across   []uint32 // the row that was taken last, as wide as the copy
	sums     []uint64 // the copy's row that is being filled
	taken    int      // rows
}

// span is from which point to which a point of the copy goes, and how much of the first and of the last it covers.
type span struct {
	first, last int
	head, tail  uint32
}

func newChannel(from, to image.Point) *channel {
	c := &channel{from: from, to: to, out: make([]byte, to.X*to.Y), spans: make([]span, to.X), across: make([]uint32, to.X), sums: make([]uint64, to.X)}
	for x := range c.spans {
		left, right := x*from.X, (x+1)*from.X
		s := span{first: left / to.X, last: (right - 1) / to.X}
		s.head, s.tail = uint32((s.first+1)*to.X-left), uint32(right-s.last*to.X)
		if s.first == s.last {
			s.head, s.tail = uint32(from.X), 0
		}
		c.spans[x] = s
	}
	return c
}

// take takes the next row, of which every so many bytes is a point.
func (c *channel) take(row []byte, step int) {
	for x, s := range c.spans {
		between := uint32(0)
		for n := (s.first + 1) * step; n < s.last*step; n += step {
			between += uint32(row[n])
		}
		c.across[x] = uint32(row[s.first*step])*s.head + between*uint32(c.to.X) + uint32(row[s.last*step])*s.tail
	}
	top, bottom := c.taken*c.to.Y, (c.taken+1)*c.to.Y
	for top < bottom {
		y := top / c.from.Y
		end := min(bottom, (y+1)*c.from.Y)
		for x, sum := range c.across {
			c.sums[x] += uint64(end-top) * uint64(sum)
		}
		if top = end; end == (y+1)*c.from.Y {
			c.finish(y)
		}
	}
	c.taken++
}

// finish writes a row of the copy.
func (c *channel) finish(y int) {
	area := uint64(c.from.X * c.from.Y)
	for x, sum := range c.sums {
		c.out[y*c.to.X+x] = byte((sum + area/2) / area)
		c.sums[x] = 0
	}
}
