// Package apart records a job in a process of its own, so that nothing that pages ask for
// can starve, crash or end what is recorded.
//
// Terms. The front is the program that serves the pages. The recorder is the same program
// in another role: it has the ports, the record and the judgement of one recording, with
// memory and priority of its own. Both speak over a line, a socket in a folder that only
// their user may enter. A far error is one that was made at the other end of it.
//
// A front that dies ends no recording: the recorder goes on, and the next front over the
// same folder joins it. A recorder that dies is started again by the front, goes on in the
// same record, and says in it that it had died.
//
// A recorder that is there and tells nothing is silent. Nobody waits for it, and when it
// goes on, it says in the record that it was. One that has not stored anything either for
// longer hangs: it is killed, and started again as one that died.
//
// Errors: what the recorder says, with its hint and the status of its answer; ErrAway
// while there is none that could answer, others while it is silent.
package apart
