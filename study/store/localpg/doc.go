// Package localpg runs a private Postgres for one user of one machine: it
// finds the server programs, makes the data directory, starts the server,
// shares it with every other process of the same user, and backs it up.
//
// Everything lies under one base directory:
//
//	lock         taken while the server is made, started or stopped
//	restore.lock taken while a database is restored
//	password     of the server's only role, readable by its owner alone
//	pg15/        the data, one directory per major version of Postgres
//	pg15.log     what the server says
//	run/         the server's Unix socket; there is no TCP
//	fetched/     server programs that Fetch brought
//
// The server outlives the process that started it, and the next Open finds it
// again through the postmaster.pid that Postgres itself keeps in the data
// directory. Postgres refuses to run as root, so for root the server runs as
// the account postgres, else nobody, and the base must be open to it.
//
// The package knows no schema. It works on Linux and macOS.
package localpg
