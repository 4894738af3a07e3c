// Package manual makes of what the commands say of themselves what stands beside the
// program: the help at the terminal, a manual page for each command, and what lets a shell
// complete a line.
//
// Terms. A page is a manual page in the macros of man(7), which every system that has
// manual pages can show. A kind is the word that a flag shows for its value, such as FILE.
package manual

import (
	"fmt"
	"path"
	"strings"
)

// Program is the program as it is told of.
type Program struct {
	Name     string
	Summary  string // one line: what it does
	Version  string
	Date     string // of the pages, such as 2026-03-02; may be empty
	Commands []Command
}

// Command is one verb of the program.
type Command struct {
	Name     string
	Operands string // as shown in the usage line
	Summary  string // one line: what it does
	Example  string // lines that can be typed, and what is to be said beside them
	Flags    []Flag
	Statuses []Status
}

// Flag is one flag of a command.
type Flag struct {
	Name    string
	Kind    string // of its value; empty where it takes none
	Text    string
	Default string // empty where there is nothing to say of it
}

// Status is one exit status of a command.
type Status struct {
	Code  int
	Means string
}

// Spelled is the flag as it is typed, with its dashes.
func (f *Flag) Spelled() string {
	if len(f.Name) == 1 {
		return "-" + f.Name
	}
	return "--" + f.Name
}

// words are the text of a flag in one line.
func (f *Flag) words() string { return strings.Join(strings.Fields(f.Text), " ") }

// said is what a flag says of itself.
func (f *Flag) said() string {
	if f.Default == "" {
		return f.Text
	}
	return fmt.Sprintf("%s (default %s)", f.Text, f.Default)
}

// Help is the page of a command at the terminal.
func (p *Program) Help(c *Command) string {
	var page strings.Builder
	fmt.Fprintf(&page, "%s\n\nUsage: %s\n", c.Summary, p.usage(c))
	page.WriteString("\nFlags:\n")
	for k := range c.Flags {
		f := &c.Flags[k]
		fmt.Fprintf(&page, "  %s\n        %s\n", strings.TrimSpace(f.Spelled()+" "+f.Kind), f.said())
	}
	fmt.Fprintf(&page, "\nExample:\n  %s\n\nEXIT STATUS\n", c.Example)
	for _, s := range c.Statuses {
		fmt.Fprintf(&page, "  %d  %s\n", s.Code, s.Means)
	}
	return page.String()
}

// usage is the line that shows how a command is typed.
func (p *Program) usage(c *Command) string {
	return strings.TrimSpace(p.Name + " " + c.Name + " [FLAGS] " + c.Operands)
}

// Files is all that is made, by its name below one folder.
func (p *Program) Files() map[string]string {
	files := map[string]string{
		path.Join("man", p.Name+".1"):           p.page(),
		path.Join("completion", p.Name+".bash"): p.bash(),
		path.Join("completion", "_"+p.Name):     p.zsh(),
		path.Join("completion", p.Name+".fish"): p.fish(),
	}
	for k := range p.Commands {
		c := &p.Commands[k]
		files[path.Join("man", p.pageName(c)+".1")] = p.commandPage(c)
	}
	return files
}

// pageName is what the page of a command is called.
func (p *Program) pageName(c *Command) string { return p.Name + "-" + c.Name }
