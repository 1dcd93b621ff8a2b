"""One file that holds a job, or a whole store: open formats in a zip, checked whole before any of it is used."""
