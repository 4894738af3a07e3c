// Package outbox hands the closed records of a folder over into a store, as they come and as the store
// can be reached.
//
// Terms. A row is where one record stands: it waits, was given, failed, is not closed, or was removed. A record is
// quiet once nobody has written into it for a while; until then it waits, so that what people decide one
// after the other is one bundle and not many.
//
// Where each record stands is kept in a file in the folder, written whole or not at all. Nothing rests
// on it: where it is lost, every record is handed over once more, which is nothing where the store has
// it. Nothing is deleted in the folder: a person removes a record there, and what was noted of that stands
// in the list too.
//
// While somebody records, nothing is handed over, and what is under way breaks off. What fails is tried
// again, after 10 s at first and every quarter of an hour in the end; what would fail again, as where the
// store has something else of that name, is not, until the record changes or the program begins anew.
package outbox
