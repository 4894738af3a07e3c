package record

import (
	"database/sql"
	"encoding/binary"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// sheet is a page of SQLite's file: whose it is, and which of its bytes say something.
type sheet struct {
	whose string
	said  [pageSize]bool
}

// sheets takes a file apart as SQLite's file format has it (sqlite.org/fileformat2.html, 1.6): a
// forger's bytes lie where no row, no head of a page and no list of its rows is.
type sheets struct {
	file  []byte
	pages map[int]*sheet
}

func sheetsOf(t *testing.T, path string) *sheets {
	t.Helper()
	s := &sheets{fileOf(t, path), map[int]*sheet{}}
	s.tree("schema", 1)
	meddle(t, path, func(db *sql.DB) {
		rows, err := db.Query("SELECT name, rootpage FROM sqlite_master")
		require.NoError(t, err)
		for rows.Next() {
			var name string
			var root int
			require.NoError(t, rows.Scan(&name, &root))
			s.tree(name, root)
		}
		require.NoError(t, rows.Err())
		require.NoError(t, rows.Close())
	})
	require.Len(t, s.pages, len(s.file)/pageSize, "no page is left over")
	return s
}

func (s *sheets) page(number int) []byte { return s.file[(number-1)*pageSize : number*pageSize] }

func (s *sheets) say(number, from, to int) {
	for k := from; k < to; k++ {
		s.pages[number].said[k] = true
	}
}

// number reads one of SQLite's numbers of seven bits a byte.
func number(b []byte) (n uint64, size int) {
	for size < 8 {
		n = n<<7 | uint64(b[size]&0x7f)
		size++
		if b[size-1] < 0x80 {
			return n, size
		}
	}
	return n<<8 | uint64(b[8]), 9
}

// The kinds of page of a tree.
const (
	indexInside, tableInside = 2, 5
	indexLeaf, tableLeaf     = 10, 13
)

// tree walks the pages of a table or an index.
func (s *sheets) tree(name string, root int) {
	s.pages[root] = &sheet{whose: name}
	page, head := s.page(root), 0
	if root == 1 {
		head = 100
		s.say(1, 0, head)
	}
	kind, rows := int(page[head]), int(binary.BigEndian.Uint16(page[head+3:]))
	list := head + 8
	if kind == indexInside || kind == tableInside {
		s.tree(name, int(binary.BigEndian.Uint32(page[head+8:])))
		list += 4
	}
	s.say(root, head, list+2*rows)
	for k := range rows {
		s.row(name, root, kind, int(binary.BigEndian.Uint16(page[list+2*k:])))
	}
}

// row takes a row of a page, the pages below it and those that it flows over into.
func (s *sheets) row(name string, root, kind, at int) {
	page, end := s.page(root), at
	if kind == indexInside || kind == tableInside {
		s.tree(name, int(binary.BigEndian.Uint32(page[at:])))
		end += 4
	}
	if kind == tableInside {
		_, n := number(page[end:])
		s.say(root, at, end+n)
		return
	}
	size, n := number(page[end:])
	end += n
	most := (pageSize-12)*64/255 - 23 // sqlite.org/fileformat2.html, 1.6: what stays on the page
	if kind == tableLeaf {
		_, n = number(page[end:])
		end += n
		most = pageSize - 35
	}
	here := int(size)
	if here > most {
		least := (pageSize-12)*32/255 - 23
		if here = least + (int(size)-least)%(pageSize-4); here > most {
			here = least
		}
		s.over(name, int(binary.BigEndian.Uint32(page[end+here:])), int(size)-here)
		end += 4
	}
	s.say(root, at, end+here)
	if _, n := number(page[end:]); kind == tableLeaf {
		s.pages[root].said[end+n] = false // the id stands before the row: what stands in its place within is not read
	}
}

// over takes the pages that a row flows over into.
func (s *sheets) over(name string, next, left int) {
	for left > 0 {
		s.pages[next] = &sheet{whose: name}
		s.say(next, 0, 4+min(left, pageSize-4))
		next, left = int(binary.BigEndian.Uint32(s.page(next))), left-(pageSize-4)
	}
}

// place names where a byte of the file is, and tells whether it says something of rows.
func (s *sheets) place(at int) (name string, says bool) {
	p := s.pages[at/pageSize+1]
	switch {
	case at < 100:
		return fmt.Sprintf("SQLite's head of the file, byte %d", at), false
	case !p.said[at%pageSize]:
		return "bytes of which nothing is read, on pages of " + p.whose, false
	}
	return "rows and lists of " + p.whose, true
}

// bareByte is the first of 16 bytes that no row uses.
func bareByte(t *testing.T, file []byte) int {
	t.Helper()
	path := beside(t, "taken-apart.arc")
	putFile(t, path, file)
	s := sheetsOf(t, path)
	for n := 2; ; n++ {
		for at, bare := pageSize/2, 0; at < pageSize; at++ {
			if bare++; s.pages[n].said[at] {
				bare = 0
			}
			if bare == 16 {
				return (n-1)*pageSize + at - 15
			}
		}
	}
}
