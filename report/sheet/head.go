package sheet

import (
	"encoding/hex"
	"strings"
)

// headPrefix begins what a QR code says of a record. All of it is in the letters that a code
// writes shortest: figures, capitals and the space.
const headPrefix = "ARCTALLY HEAD "

// HeadText is the head of a record as the code on its paper says it.
func HeadText(fingerprint string) string { return headPrefix + strings.ToUpper(fingerprint) }

// ReadHead reads a head from what a code said, or from its figures as they were typed; false
// where it is none.
func ReadHead(said string) (head []byte, ok bool) {
	said = strings.TrimPrefix(strings.ToUpper(strings.TrimSpace(said)), headPrefix)
	head, err := hex.DecodeString(strings.Join(strings.Fields(said), ""))
	return head, err == nil && len(head) > 0
}
