package main

import (
	"database/sql"
	"fmt"
	"io"

	_ "modernc.org/sqlite" // the database, opened behind Becket's back
)

// damage runs one statement on a database behind Becket's back, as a hand with an SQL shell would, and returns
// an exit status. A statement that changes nothing fails, or the script would prove nothing.
func damage(args []string, errs io.Writer) int {
	if len(args) != 2 {
		fmt.Fprintln(errs, "damage takes a database and a statement")
		return exitUsage
	}
	if err := change(args[0], args[1]); err != nil {
		fmt.Fprintln(errs, "damage:", err)
		return exitFailed
	}
	return exitDone
}

func change(file, statement string) error {
	db, err := sql.Open("sqlite", file)
	if err != nil {
		return err
	}
	defer db.Close()
	result, err := db.Exec(statement)
	if err != nil {
		return err
	}
	if n, err := result.RowsAffected(); err != nil || n == 0 {
		return fmt.Errorf("nothing was changed (%v)", err)
	}
	return nil
}
