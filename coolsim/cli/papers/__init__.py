"""What is printed or written for the workshop, a file each."""
