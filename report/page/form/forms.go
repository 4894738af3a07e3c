package form

import "slices"

var forms = map[Kind]Form{
	Job:       {Kind: Job, Groups: jobGroups()},
	Procedure: {Kind: Procedure, Groups: procedureGroups()},
}

// Of returns the form of a kind, which is not to be changed. It panics where there
// is no such kind.
func Of(kind Kind) Form {
	f, ok := forms[kind]
	if !ok {
		panic("form: there is no form of a " + string(kind))
	}
	return f
}

// Offering returns the form with files to choose from, as a job file names them.
func (f Form) Offering(files []string) Form {
	f.Groups = slices.Clone(f.Groups)
	for k := range f.Groups {
		f.Groups[k].Fields = slices.Clone(f.Groups[k].Fields)
		for i := range f.Groups[k].Fields {
			if field := &f.Groups[k].Fields[i]; field.Kind == File {
				field.Choices = files
			}
		}
	}
	return f
}
