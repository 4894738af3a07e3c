package port

import "fmt"

// errHeld is the cause where a lock is another's; holder is 0 if it left no number.
type errHeld struct{ holder int }

// Error names the holder.
func (e errHeld) Error() string { return fmt.Sprintf("locked by process %d", e.holder) }
