package port

// heldHint is for a port that another program has.
func heldHint(port string) string {
	return "another program has " + port + " open: close that one (a terminal for serial lines, or the software of another instrument), or name another port"
}

// permissionHint is for a port that this user may not open.
func permissionHint(port string, _ error) string {
	return "this user may not open " + port + ": ask who looks after this machine"
}
