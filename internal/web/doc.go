// Package web serves the local page: the works of one folder to look at and to
// edit, the questions about them to ask, and the answers.
//
// It is a way of typing the commands of the terminal. A run of the page is a
// command line carried out in the same process (see Command), so that page and
// terminal cannot disagree, and each result shows the line that gives it again.
// What a form cannot say in a line it writes as a question file (see package
// draft), and the report is shown as it would be kept, in a frame. Nothing is
// computed here.
//
// The page is for the person at the machine and nobody else. It listens on the
// loopback addresses only; guard.go says what every request must satisfy before
// anything looks at it. Other users of the machine can reach loopback too, and
// so can any page in the browser by way of a name that it rebinds: hence the
// list of allowed hosts and the token, which nobody has who did not start the
// server.
package web
