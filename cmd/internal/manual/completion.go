package manual

import (
	"fmt"
	"strings"
)

// takes is what stands after a flag, or as an operand.
type takes uint8

const (
	anything takes = iota
	aFile
	aFolder
)

// fileKinds are the words, in a kind or in operands, that stand for the name of a file.
var fileKinds = []string{"FILE", "RECORD", "CAPTURE", "PORT", ".yaml"}

// taken is what a kind stands for.
func taken(kind string) takes {
	if strings.Contains(kind, "FOLDER") {
		return aFolder
	}
	for _, word := range fileKinds {
		if strings.Contains(kind, word) {
			return aFile
		}
	}
	return anything
}

// names are those of all commands.
func (p *Program) names() string {
	var names []string
	for k := range p.Commands {
		names = append(names, p.Commands[k].Name)
	}
	return strings.Join(names, " ")
}

// spelled are the flags of a command that take what is asked for, or all of them.
func (c *Command) spelled(wanted func(*Flag) bool) []string {
	var flags []string
	for k := range c.Flags {
		if f := &c.Flags[k]; wanted(f) {
			flags = append(flags, f.Spelled())
		}
	}
	return flags
}

const bashHead = `# Completion of %[1]s for bash.
_%[1]s() {
	local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]} flags= values= folders= operand=none
	COMPREPLY=()
	if [ "$COMP_CWORD" -eq 1 ]; then
		COMPREPLY=($(compgen -W "%[2]s help --help --version" -- "$word"))
		return
	fi
	case ${COMP_WORDS[1]} in
	help) COMPREPLY=($(compgen -W "%[2]s" -- "$word")); return ;;
`

const bashTail = `	esac
	case " $folders " in *" $before "*) operand=folder before= ;; esac
	case " $values " in *" $before "*) return ;; esac
	case $word in -*) COMPREPLY=($(compgen -W "$flags --help" -- "$word")); return ;; esac
	compopt -o filenames
	local IFS=$'\n'
	if [ $operand = folder ]; then COMPREPLY=($(compgen -d -- "$word")); else COMPREPLY=($(compgen -f -- "$word")); fi
}
complete -F _%[1]s %[1]s
`

// bash completes for bash. Any flag that takes neither a file nor a folder gets no proposal.
func (p *Program) bash() string {
	var s strings.Builder
	fmt.Fprintf(&s, bashHead, p.Name, p.names())
	for k := range p.Commands {
		c := &p.Commands[k]
		all := c.spelled(func(*Flag) bool { return true })
		values := c.spelled(func(f *Flag) bool { return f.Kind != "" && taken(f.Kind) == anything })
		folders := c.spelled(func(f *Flag) bool { return taken(f.Kind) == aFolder })
		operand := "file"
		if taken(c.Operands) == aFolder {
			operand = "folder"
		}
		fmt.Fprintf(&s, "\t%s) flags=%q values=%q folders=%q operand=%s ;;\n", c.Name, strings.Join(all, " "), strings.Join(values, " "), strings.Join(folders, " "), operand)
	}
	fmt.Fprintf(&s, bashTail, p.Name)
	return s.String()
}

// quoted is a text within single quotes of a shell.
func quoted(text string) string { return "'" + strings.ReplaceAll(text, "'", `'\''`) + "'" }

// zsh completes for zsh.
func (p *Program) zsh() string {
	var s strings.Builder
	fmt.Fprintf(&s, "#compdef %[1]s\n# Completion of %[1]s for zsh.\nif (( CURRENT == 2 )); then\n\tlocal -a commands=(\n", p.Name)
	for k := range p.Commands {
		fmt.Fprintf(&s, "\t\t%s\n", quoted(p.Commands[k].Name+":"+p.Commands[k].Summary))
	}
	s.WriteString("\t\t'help:shows the commands, or the flags of one'\n\t)\n\t_describe command commands\n\t_arguments '--help[shows the commands]' '--version[shows which build this is]'\n\treturn\nfi\n")
	s.WriteString("local command=$words[2]\nshift words\n(( CURRENT-- ))\ncase $command in\n")
	fmt.Fprintf(&s, "help) _values command %s ;;\n", p.names())
	for k := range p.Commands {
		c := &p.Commands[k]
		fmt.Fprintf(&s, "%s) _arguments '--help[shows the flags and an example]'", c.Name)
		for j := range c.Flags {
			f := &c.Flags[j]
			spec := f.Spelled() + "[" + bracketed.Replace(f.words()) + "]"
			if f.Kind != "" {
				spec = "*" + spec + ":" + colons.Replace(f.Kind) + ":" + zshActions[taken(f.Kind)]
			}
			s.WriteString(" \\\n\t" + quoted(spec))
		}
		action := zshActions[aFile]
		if taken(c.Operands) == aFolder {
			action = zshActions[aFolder]
		}
		fmt.Fprintf(&s, " \\\n\t'*:operand:%s' ;;\n", action)
	}
	s.WriteString("esac\n")
	return s.String()
}

var (
	zshActions = [...]string{anything: " ", aFile: "_files", aFolder: "_files -/"}
	bracketed  = strings.NewReplacer("[", `\[`, "]", `\]`, ":", `\:`)
	colons     = strings.NewReplacer(":", `\:`)
)

// fish completes for fish.
func (p *Program) fish() string {
	var s strings.Builder
	fmt.Fprintf(&s, "# Completion of %[1]s for fish.\ncomplete -c %[1]s -n __fish_use_subcommand -f -l version -d 'shows which build this is'\n", p.Name)
	fmt.Fprintf(&s, "complete -c %s -l help -d 'shows the commands, or the flags of one'\n", p.Name)
	fmt.Fprintf(&s, "complete -c %s -n '__fish_seen_subcommand_from help' -f -a %s\n", p.Name, quoted(p.names()))
	for k := range p.Commands {
		c := &p.Commands[k]
		fmt.Fprintf(&s, "complete -c %s -n __fish_use_subcommand -f -a %s -d %s\n", p.Name, c.Name, fishQuoted(c.Summary))
		if taken(c.Operands) == aFolder {
			fmt.Fprintf(&s, "complete -c %s -n '__fish_seen_subcommand_from %s' -f -a '(__fish_complete_directories)'\n", p.Name, c.Name)
		}
		for j := range c.Flags {
			f := &c.Flags[j]
			dash := "-l"
			if len(f.Name) == 1 {
				dash = "-s"
			}
			fmt.Fprintf(&s, "complete -c %s -n '__fish_seen_subcommand_from %s' %s %s%s -d %s\n", p.Name, c.Name, dash, f.Name, fishTakes(f), fishQuoted(f.words()))
		}
	}
	return s.String()
}

// fishTakes says what a flag takes.
func fishTakes(f *Flag) string {
	switch {
	case f.Kind == "":
		return ""
	case taken(f.Kind) == aFile:
		return " -r -F"
	case taken(f.Kind) == aFolder:
		return " -x -a '(__fish_complete_directories)'"
	}
	return " -x"
}

// fishQuoted is a text within single quotes, as fish reads them.
func fishQuoted(text string) string {
	return "'" + strings.NewReplacer(`\`, `\\`, "'", `\'`).Replace(text) + "'"
}
