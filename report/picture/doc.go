// Package picture writes photographs anew: it decodes them, and writes the dots alone.
// What somebody sends as a photograph may be a program, a trap or a letter as well; and a
// camera writes into it where and when it was taken, and by what. None of that is kept.
//
// Terms. A picture is bare where its file holds nothing but what its dots need. Written anew
// it is bare, upright however the camera was held, of 8 bits a colour, and on white where it
// could be seen through. Of a picture that moves the first one is kept.
//
// Memory: what a file would unfold to is reckoned from its head, before it is decoded, and
// one picture is decoded at a time.
//
// Errors: what cannot be taken is an *Error, which says what would do.
package picture
