package record

import (
	"database/sql"
	"encoding/binary"
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

func ofShape() (all []forgery) {
	attack := func(name, statements string) { all = append(all, forgery{name, sealedRecord, does(statements), false}) }
	kept := attacks(latestVersion)
	for _, name := range []string{
		"calibrations under a view", "calibrations under a view, to the letter", "calibrations with a trigger after insert", "entries with a trigger before insert", "seals with a trigger before delete",
		"entries dropped", "seals dropped", "chunks renamed", "events with a column more", "seconds with an index on id", "commits_by_tick dropped", "commits_by_tick of few rows", "commits_by_epoch downwards",
		"digests_by_group of no rows, and as it was made", "about twice", "about strict", "a table of its own", "an empty view", "a virtual table", "a counter of ids", "what ANALYZE leaves", "a schema table",
		"two tables on one page", "another mark", "pages that move", "version 0", "version 1", "version 2", "version 3", "version 5",
	} {
		if statements, there := kept[name]; there {
			attack(name, statements)
		} else {
			panic("no attack is called " + name)
		}
	}
	for column, from := range map[string]string{`"channel"`: " TEXT"} {
		attack("a collation that takes small letters for great ones", rewritten(object{name: "calibrations"}, column+from, column+from+" COLLATE NOCASE"))
		attack("a column without a type", rewritten(object{name: "calibrations"}, column+from, column))
		attack("a column that is computed", rewritten(object{name: "calibrations"}, column+from, column+from+" GENERATED ALWAYS AS ('current')"))
	}
	attack("a table with the name of an attached one", `CREATE TABLE "other.chunks" (x)`)
	attack("a table that only sqlite may have", writable("UPDATE sqlite_master SET name = 'sqlite_chunks', tbl_name = 'sqlite_chunks', sql = replace(sql, 'TABLE chunks', 'TABLE sqlite_chunks') WHERE name = 'chunks'"))
	all = append(all,
		forgery{"rows of two tables changed places", sealedRecord, does(writable(`UPDATE sqlite_master SET rootpage = (SELECT sum(rootpage) FROM sqlite_master WHERE name IN ('documents', 'about')) - rootpage WHERE name IN ('documents', 'about')`)), false},
		forgery{"SQLite's count of changes", sealedRecord, does("PRAGMA schema_version = 77"), true},
		forgery{"all put in order anew, with the same rows", sealedRecord, does("VACUUM"), true},
		forgery{"pages of another size, with the same rows", sealedRecord, does("PRAGMA journal_mode = DELETE; PRAGMA page_size = 1024; VACUUM"), true},
	)
	return all
}

func ofValues() (all []forgery) {
	value := func(name, statement string) {
		all = append(all, forgery{name, sealedRecord, doesAndRebuilds(statement), false})
	}
	for _, v := range [][2]string{
		{"text where an integer is", "'30'||'x'"},
		{"a number with a point where an integer is", "tick + 0.5"},
		{"the greatest integer", "9223372036854775807"},
		{"the least integer", "-9223372036854775807 - 1"},
		{"a blob where an integer is", "x'00'"},
		{"nothing where an integer is", "NULL"},
		{"infinity where an integer is", "9e999"},
	} {
		value(v[0], "UPDATE chunks SET tick = "+v[1]+" WHERE commit_number = 30")
	}
	all = append(all, forgery{"an integer as a text of its digits, of which SQLite makes the integer", sealedRecord, doesAndRebuilds("UPDATE chunks SET tick = CAST(tick AS TEXT) || ' ' WHERE commit_number = 30"), true})
	value("infinity where a number is", "UPDATE calibrations SET gain = 9e999")
	value("what is no number", "UPDATE calibrations SET gain = 9e999 - 9e999")
	value("text where a number is", "UPDATE calibrations SET gain = 'one'")
	value("a blob where a text is", "UPDATE documents SET text = CAST(text AS BLOB)")
	value("a text with a zero byte", "UPDATE documents SET text = text || char(0) || 'x'")
	value("a text that is no UTF-8", "UPDATE documents SET text = CAST(x'c328' AS TEXT)")
	stray := strays(latestVersion)
	for _, name := range []string{"a commit before all", "a commit below", "a commit far away", "entries 0", "entries -1", "calibrations 9223372036854775807", "calibrations -9223372036854775808", "seals 1000000", "events (SELECT max(number) + 1 FROM commits) * 1000000"} {
		statement, there := stray[name]
		if !there {
			panic("no stray is called " + name)
		}
		all = append(all, forgery{"a row of no group: " + name, sealedRecord, does(statement), false})
	}
	return append(all, forgery{"two rows of one id", sealedRecord, twiceTheSameID, false})
}

// twiceTheSameID gives a row the id of the one before it, in the page itself.
func twiceTheSameID(t *testing.T, path string) {
	file := fileOf(t, path)
	id := func(n uint64) []byte { // as SQLite writes numbers: seven bits a byte
		var b []byte
		for ; n > 0; n >>= 7 {
			b = append([]byte{byte(n&0x7f) | 0x80}, b...)
		}
		b[len(b)-1] &= 0x7f
		return b
	}
	at := indexLast(file, id(1_000_004))
	require.Positive(t, at)
	copy(file[at:], id(1_000_003))
	putFile(t, path, file)
}

// indexLast finds the last place of some bytes.
func indexLast(file, b []byte) int {
	for at := len(file) - len(b); at >= 0; at-- {
		if string(file[at:at+len(b)]) == string(b) {
			return at
		}
	}
	return -1
}

func ofFiles() []forgery {
	bytes := func(name string, whole bool, do func(t *testing.T, path string, file []byte) []byte) forgery {
		return forgery{name, sealedRecord, func(t *testing.T, path string) { putFile(t, path, do(t, path, fileOf(t, path))) }, whole}
	}
	return []forgery{
		bytes("a bit of a payload", false, func(t *testing.T, path string, file []byte) []byte {
			var payload []byte
			meddle(t, path, func(db *sql.DB) {
				require.NoError(t, db.QueryRow("SELECT payload FROM chunks WHERE commit_number = 128 ORDER BY id LIMIT 1").Scan(&payload))
			})
			file[indexLast(file, payload)+6] ^= 1
			return file
		}),
		bytes("a bit where no row is", true, func(t *testing.T, _ string, file []byte) []byte {
			file[bareByte(t, file)] ^= 1
			return file
		}),
		bytes("a letter where no row is, 16 bytes of it", true, func(t *testing.T, _ string, file []byte) []byte {
			copy(file[bareByte(t, file):], "a hidden message")
			return file
		}),
		{"a page that no table uses, with other bytes in it", sealedRecord, func(t *testing.T, path string) {
			does("CREATE TABLE other (x); INSERT INTO other VALUES (zeroblob(9000)); DROP TABLE other")(t, path)
			file := fileOf(t, path)
			free := binary.BigEndian.Uint32(file[32:])
			require.NotZero(t, free)
			copy(file[int(free)*pageSize-100:], "a hidden message")
			putFile(t, path, file)
		}, true},
		bytes("bytes behind the end of the file", true, func(_ *testing.T, _ string, file []byte) []byte { return append(file, "a hidden message"...) }),
		bytes("the last page cut off", false, func(_ *testing.T, _ string, file []byte) []byte { return file[:len(file)-pageSize] }),
		bytes("half of it", false, func(_ *testing.T, _ string, file []byte) []byte { return file[:len(file)/2] }),
		bytes("the last page cut off, and counted so", false, func(_ *testing.T, _ string, file []byte) []byte {
			file = file[:len(file)-pageSize]
			binary.BigEndian.PutUint32(file[28:], uint32(len(file)/pageSize))
			return file
		}),
		bytes("a log beside it that edits a row", false, func(t *testing.T, path string, file []byte) []byte {
			logBeside(t, path, "UPDATE calibrations SET gain = 0.9")
			return file
		}),
		bytes("a log beside it that adds a view", false, func(t *testing.T, path string, file []byte) []byte {
			logBeside(t, path, "CREATE VIEW other AS SELECT 1")
			return file
		}),
		bytes("a log beside it that takes the end off", true, func(t *testing.T, path string, file []byte) []byte {
			copied := beside(t, "cut.arc")
			putFile(t, copied, file)
			doesAndRebuilds(cut(136, 137))(t, copied)
			logBeside(t, path, cut(136, 137))
			return file
		}),
		bytes("a log of another record beside it", true, func(t *testing.T, path string, file []byte) []byte {
			other := beside(t, "other.arc")
			putFile(t, other, fileOf(t, everyRecord(t)))
			logBeside(t, other, "UPDATE meta SET value = 'k'")
			putFile(t, path+logSuffix, fileOf(t, other+logSuffix)[:32])
			return file
		}),
		bytes("a journal beside it, which SQLite would undo a commit with", true, func(t *testing.T, path string, file []byte) []byte {
			require.NoError(t, os.WriteFile(path+"-journal", journalOf(file), 0o600))
			return file
		}),
	}
}

// logBeside leaves a statement in the log beside a record, which itself stays as it is.
func logBeside(t *testing.T, path, statements string) {
	t.Helper()
	copied := beside(t, "logged.arc")
	putFile(t, copied, fileOf(t, path))
	db, err := connect(copied, "_pragma=journal_mode(WAL)&_pragma=wal_autocheckpoint(0)")
	require.NoError(t, err)
	_, err = db.Exec(statements)
	require.NoError(t, err)
	putFile(t, path+logSuffix, fileOf(t, copied+logSuffix))
	require.NoError(t, db.Close())
}

// journalOf is a journal with the first page as it is, but for one letter of the schema.
func journalOf(file []byte) []byte {
	page := append([]byte(nil), file[:pageSize]...)
	page[indexLast(page, []byte("CREATE"))] = 'X'
	head := make([]byte, 512)
	copy(head, []byte{0xd9, 0xd5, 0x05, 0xf9, 0x20, 0xa1, 0x63, 0xd7})
	for k, v := range []int{1, 0, len(file) / pageSize, 512, pageSize} {
		binary.BigEndian.PutUint32(head[8+4*k:], uint32(v))
	}
	sum := uint32(0)
	for at := pageSize - 200; at > 0; at -= 200 {
		sum += uint32(page[at])
	}
	return append(append(append(head, 0, 0, 0, 1), page...), fmt.Appendf(nil, "%c%c%c%c", sum>>24, sum>>16&0xff, sum>>8&0xff, sum&0xff)...)
}
