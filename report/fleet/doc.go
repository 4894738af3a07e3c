// Package fleet keeps the results of many jobs in a database, PostgreSQL or one file of
// SQLite, and answers questions that are about all of them.
//
// Terms. Results are what "arctally export --format json" says of one record. A record that
// goes on has several states, each with a digest of its own, the head of its chain: all of
// them are kept, and the newest stands in the questions. A holder is what a calibration
// belongs to: a box, or where nobody said which, its certificate or its record. A side is
// what a chart is drawn by: procedure, box, operator or layer; a member is one of these. A
// point of a chart is one job: the mean of its passes that belong there. A tally is a count
// that is kept while jobs come in, so that no question has to count.
//
// What is not known is NULL, never 0. Columns are in SI units, named by them; columns.tsv
// says what each column of the views is. Both engines are given the same SQL: {text} and
// {time} stand for what they call differently.
//
// Errors: *ResultsError of results that cannot be taken, *DatabaseError of a database that
// cannot be used; what an engine says is wrapped once.
package fleet
