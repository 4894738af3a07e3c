package inspect

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A name that is typed so that it reads as if it were signed is still told from one that is.
func TestWho_ATypedNameIsToldFromASignedOne(t *testing.T) {
	const key = "SHA256:VKYtmTixCSPf4OeYCYbjaX5A172Bzo2pWG9hte2urQo"
	signed := Entry{By: "Inspector 1", Signed: key}
	require.Equal(t, "Inspector 1 (signed with "+key+")", signed.Who())
	for _, by := range []string{"Inspector 1", signed.Who(), "Inspector 1 (signed)", "Inspector 1 (name typed) (signed with " + key + ")"} {
		typed := Entry{By: by}
		require.Equal(t, by+" (name typed)", typed.Who())
		require.False(t, strings.HasSuffix(typed.Who(), signed.Who()))
	}
	require.Empty(t, (&Entry{}).Who())
}
