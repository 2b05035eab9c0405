package tables

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"errors"
	"hash/crc32"
	"io"
	"io/fs"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"
)

// byName is a zip file whose parts stand in the order of their names: excelize writes
// streamed sheets in any order, and the same season must give the same bytes.
type byName struct {
	out   io.Writer
	parts []*part
}

// part is a compressed part, held until all are there.
type part struct {
	name   string
	packed bytes.Buffer
	flate  *flate.Writer
	crc    uint32
	size   uint64
}

func newByName(w io.Writer) excelize.ZipWriter { return &byName{out: w} }

func (z *byName) Create(name string) (io.Writer, error) {
	p := &part{name: name}
	var err error
	p.flate, err = flate.NewWriter(&p.packed, flate.DefaultCompression)
	z.parts = append(z.parts, p)
	return p, err
}

func (p *part) Write(b []byte) (int, error) {
	p.crc = crc32.Update(p.crc, crc32.IEEETable, b)
	p.size += uint64(len(b))
	return p.flate.Write(b)
}

// AddFS is asked for by excelize's interface; this package gives no folders.
func (z *byName) AddFS(fs.FS) error { return errors.ErrUnsupported }

func (z *byName) Close() error {
	slices.SortFunc(z.parts, func(a, b *part) int { return strings.Compare(a.name, b.name) })
	zw := zip.NewWriter(z.out)
	for _, p := range z.parts {
		if err := p.flate.Close(); err != nil {
			return err
		}
		w, err := zw.CreateRaw(&zip.FileHeader{
			Name: p.name, Method: zip.Deflate, CRC32: p.crc, CompressedSize64: uint64(p.packed.Len()), UncompressedSize64: p.size,
		})
		if err != nil {
			return err
		}
		if _, err := w.Write(p.packed.Bytes()); err != nil {
			return err
		}
	}
	return zw.Close()
}
