"""What is shipped for running weeksync on a machine of one's own."""
