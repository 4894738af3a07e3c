package procedure

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestParseJob_CustomerAndMachine(t *testing.T) {
	longest := strings.Repeat("\u6587", longestName)
	job, err := ParseJob("job.yaml", []byte("job: J\nprocedure: p\ndeposit: {pattern: straight}\ncustomer: {name: \" Quarry 1 \", order: "+longest+"}\nmachine: {serial: 0042}\n"))
	require.NoError(t, err)
	require.Equal(t, Customer{Name: "Quarry 1", Order: longest}, job.Customer)
	require.Equal(t, Machine{Serial: "0042"}, job.Machine)
}
