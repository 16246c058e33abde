package sheet

import (
	"archive/zip"
	"errors"
	"fmt"
	"hash"
	"hash/crc32"
	"io"
	"os"
	"path"
	"path/filepath"
	"strings"
	"sync"

	"github.com/klauspost/compress/flate"
)

// MaxSize is how large the texts of a workbook may be together, unpacked, unless
// told otherwise. A file that holds much in earnest may be larger: lists of parts
// pack to about a tenth, what was made to choke its reader to a thousandth.
const (
	MaxSize = 256 << 20
	inTruth = 20 // times the size of the file
)

// most is how many members an archive may have: a workbook has tens.
const most = 10_000

// An archive is the zip file that a workbook lies in. Every member of it is read
// to its end at least once, so that its checksum is compared.
type archive struct {
	z       *zip.ReadCloser
	name    string // of the file, as a person calls it
	members map[string]*zip.File
	checked sync.Map // of *zip.File
}

// openArchive opens a file and refuses one that would unpack to more than limit
// bytes. 0 stands for [MaxSize], or more where the file itself is large.
func openArchive(file string, limit int64) (*archive, error) {
	z, err := zip.OpenReader(file)
	if err != nil {
		return nil, badInput("%s is damaged or cut off: it begins like a workbook, and its list of contents cannot be read", file)
	}
	z.RegisterDecompressor(zip.Deflate, flate.NewReader)
	if limit <= 0 {
		limit = MaxSize
		if info, err := os.Stat(file); err == nil {
			limit = max(limit, inTruth*info.Size())
		}
	}
	a := &archive{z: z, name: filepath.Base(file), members: map[string]*zip.File{}}
	if err := a.list(limit); err != nil {
		_ = z.Close()
		return nil, err
	}
	return a, nil
}

func (a *archive) list(limit int64) error {
	if len(a.z.File) > most {
		return badInput("%s holds %d files, and no workbook needs more than %d", a.name, len(a.z.File), most)
	}
	total := uint64(0)
	for _, f := range a.z.File {
		name := strings.ToLower(f.Name)
		if f.UncompressedSize64 > 1<<50 {
			return badInput("%s is damaged: %s says it has %d bytes", a.name, f.Name, f.UncompressedSize64)
		}
		total += f.UncompressedSize64
		switch {
		case f.Flags&1 != 0:
			return badInput("%s has a password: save it as .xlsx without one", a.name)
		case strings.HasSuffix(name, "/"):
			continue
		case a.members[name] != nil:
			return badInput("%s is damaged: it holds %s twice", a.name, f.Name)
		}
		a.members[name] = f
	}
	if total > uint64(limit) {
		return helped(TooLarge, showSize(total+total/8), "%s unpacks to %s, and the limit is %s", a.name, showSize(total), showSize(uint64(limit)))
	}
	return nil
}

// showSize writes a number of bytes, rounded up, as the command line reads it.
func showSize(n uint64) string {
	switch {
	case n > 1<<30:
		return fmt.Sprintf("%dGiB", (n+1<<30-1)>>30)
	case n > 1<<20:
		return fmt.Sprintf("%dMiB", (n+1<<20-1)>>20)
	}
	return fmt.Sprintf("%dKiB", (n+1<<10-1)>>10)
}

func (a *archive) Close() error { return a.z.Close() }

// has reports whether the archive has a member.
func (a *archive) has(member string) bool { return a.members[strings.ToLower(member)] != nil }

// A memberReader reads a member, but no further than it says it reaches.
type memberReader struct {
	a    *archive
	f    *zip.File
	in   io.ReadCloser
	left uint64
	sum  hash.Hash32 // where the archive says that it is 0: archive/zip takes that for none
}

// open opens a member of the archive.
func (a *archive) open(member string) (*memberReader, error) {
	f := a.members[strings.ToLower(member)]
	if f == nil {
		return nil, badInput("%s is damaged: %s is missing in it", a.name, member)
	}
	in, err := f.Open()
	if err != nil {
		return nil, a.damaged(f, err)
	}
	r := &memberReader{a: a, f: f, in: in, left: f.UncompressedSize64}
	if f.CRC32 == 0 {
		r.sum = crc32.NewIEEE()
	}
	return r, nil
}

func (r *memberReader) Read(p []byte) (int, error) {
	n, err := r.in.Read(p)
	if uint64(n) > r.left {
		return 0, r.a.damaged(r.f, errors.New("it is longer than it says"))
	}
	r.left -= uint64(n)
	if r.sum != nil {
		_, _ = r.sum.Write(p[:n])
	}
	switch {
	case errors.Is(err, io.EOF) && r.sum != nil && r.sum.Sum32() != 0:
		return n, r.a.damaged(r.f, zip.ErrChecksum)
	case errors.Is(err, io.EOF):
		r.a.checked.Store(r.f, true)
	case err != nil:
		err = r.a.damaged(r.f, err)
	}
	return n, err
}

func (r *memberReader) Close() error { return r.in.Close() }

// damaged says which member cannot be read.
func (a *archive) damaged(f *zip.File, err error) error {
	var corrupt flate.CorruptInputError
	switch {
	case errors.Is(err, zip.ErrChecksum):
		err = errors.New("its checksum does not agree with what it holds")
	case errors.Is(err, zip.ErrAlgorithm):
		err = errors.New("it is packed in a way that no workbook uses")
	case errors.Is(err, io.ErrUnexpectedEOF), errors.As(err, &corrupt):
		err = errors.New("it cannot be unpacked to its end")
	}
	return badInput("%s is damaged at %s: %v", a.name, f.Name, err)
}

// markup goes through the text of a member, whose outermost tag must be root, and
// hands every tag and text to see, which may go on reading by itself.
func (a *archive) markup(member, root string, see func(m *markup, t token) error) error {
	in, err := a.open(member)
	if err != nil {
		return err
	}
	defer in.Close()
	m := newMarkup(in)
	for begun := false; m.err == nil; begun = true {
		t := m.next()
		switch {
		case m.err != nil:
		case t == theEnd:
			return nil
		case t == tagOpens && !begun && string(m.local) != root:
			m.bad("it is no %s", root)
		default:
			m.keep(see(m, t))
		}
	}
	if errors.Is(m.err, errMalformed) {
		return badInput("%s is damaged at %s: %v", a.name, member, m.err)
	}
	return m.err
}

// finish reads what was of no use so far, for its checksums.
func (a *archive) finish() error {
	for _, f := range a.z.File {
		if _, done := a.checked.Load(f); done || strings.HasSuffix(f.Name, "/") {
			continue
		}
		in, err := a.open(f.Name)
		if err != nil {
			return err
		}
		_, err = io.Copy(io.Discard, in)
		if err := errors.Join(err, in.Close()); err != nil {
			return err
		}
	}
	return nil
}

// target is the member that a relationship of a part in dir leads to.
func target(dir, name string) string {
	if strings.HasPrefix(name, "/") {
		return path.Clean(name)[1:]
	}
	return path.Join(dir, name)
}
