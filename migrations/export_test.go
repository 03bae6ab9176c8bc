package migrations

// ApplyFiles lets tests apply files that aren't the program's.
var ApplyFiles = apply
