// Package fleettest runs PostgreSQL for tests: servers of their own, in folders of their own, spoken to by
// a socket there, that can be killed and started again, with a standby that takes the place of the first.
package fleettest
