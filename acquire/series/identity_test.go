package series

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A box is known by its serial, else by its port; nothing that it says of itself makes
// it pass for a port, or for a box that nothing can be bound to.
func TestSource_identity(t *testing.T) {
	for _, c := range []struct {
		source      Source
		want, words string
		named       bool
	}{
		{Source{Serial: "B-1", Port: "p"}, "B-1", "box B-1", true},
		{Source{Serial: "  ", Port: "/dev/p"}, "port /dev/p", "the box on port /dev/p", true},
		{Source{Serial: " B-1 "}, "B-1", "box B-1", true},
		{Source{}, "", "a box that nobody named", false},
		{Source{Assumed: true, Serial: "B-1", Port: "p"}, Undescribed, "a box that has not said yet who it is", false},
		{Source{Contested: true, Serial: "B-1", Port: "p"}, "(two boxes say B-1)", "one of two boxes that both say B-1", false},
		{Source{Serial: "port /dev/p"}, "serial port /dev/p", "box serial port /dev/p", true},
		{Source{Serial: Undescribed}, "serial (not said yet)", "box serial (not said yet)", true},
		{Source{Serial: "serial port /dev/p"}, "serial serial port /dev/p", "box serial serial port /dev/p", true},
	} {
		got := c.source.Identity()
		assert.Equal(t, c.want, got)
		assert.Equal(t, c.named, IsNamed(got), got)
		assert.Equal(t, c.words, Who(got))
	}
	assert.Equal(t, "bound to port x, because the box has no serial", BoundTo("port x"))
	for name, want := range map[string]string{"": "", " B-1 ": "B-1", "port /dev/p": "port /dev/p", "(x": "serial (x"} {
		assert.Equal(t, want, IdentityOf(name))
	}
	assert.Equal(t, "bound to box B-1", BoundTo("B-1"))
}

// A channel of another box is that box's; the arc's own are of the box of the source.
func TestSource_boxOf(t *testing.T) {
	s := Source{Serial: "A", Channels: []Channel{{Name: "voltage"}, {Name: "current"}, {Name: "wire_speed", Owner: "W"}}}
	assert.Equal(t, "A", s.BoxOf("voltage"))
	assert.Equal(t, "W", s.BoxOf("wire_speed"))
	assert.Equal(t, "A", s.BoxOf("travel"), "what no channel measures is the arc box's affair")
	assert.Equal(t, []string{"A", "W"}, s.Boxes())
}
