// Package bundling joins a record with its bundle: what of a record is handed over, and what of a bundle
// is reviewed again.
//
// A bundle has the record as it lies on the disk and what commands make of it: the weld record as PDF
// and HTML, its certificate alone, the results, the tables of passes and samples, the photographs and the seals. They are made
// as on every machine: the record goes by the name that it has in the bundle, times are in UTC, and no
// letterhead is on them, which is not of the record but of the folder where it lies. So who has a bundle can make each of them again by `report` and `export`, and
// hold the bytes against it.
package bundling
