//go:build unix

package port

import (
	"errors"
	"os"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
)

// heldHint tells who has a port open that no lock of ours is on.
func heldHint(port string) string {
	node, err := filepath.EvalSymlinks(port)
	if err != nil {
		return "see what holds it with: " + whoHolds + port
	}
	held := Holders(node)
	switch grabs := slices.IndexFunc(held, Holder.Grabs); {
	case grabs >= 0:
		return held[grabs].String() + " has it open, and takes any serial adapter for its own: " + Advice()
	case len(held) > 0:
		return held[0].String() + " has it open: end it, or name another port"
	default:
		return "see what holds it with: " + whoHolds + port
	}
}

// permissionHint tells the group that owns the file which was refused: the
// node's, or that of a lock file another user left.
func permissionHint(port string, cause error) string {
	path := port
	var refused *os.PathError
	if errors.As(cause, &refused) {
		path = refused.Path
	}
	group := owningGroup(path)
	if path != port && (group == "" || group == "root") {
		return "see who may use it with: ls -lL " + path
	}
	if group == "" || group == "root" {
		return "no group but root's may use it: write this line into " + RuleFile + ", and plug it in again: " + Rule(usualGroup) +
			" (ls -lL " + path + " shows who may use it)"
	}
	return "add yourself to group " + group + ": sudo usermod -a -G " + group + " $USER, then log in again"
}

// owningGroup returns the name of the group of a file, "" where it is not known.
func owningGroup(path string) string {
	info, err := os.Stat(path)
	if err != nil {
		return ""
	}
	stat, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return ""
	}
	group, err := user.LookupGroupId(strconv.FormatUint(uint64(stat.Gid), 10))
	if err != nil {
		return ""
	}
	return group.Name
}
