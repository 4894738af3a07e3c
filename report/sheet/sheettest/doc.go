// Package sheettest has invented jobs for the tests of the rooms that show a
// sheet, and holds what they write against golden files.
package sheettest
