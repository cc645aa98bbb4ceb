"""What a job is and how entries change it. Rules only, no input or output."""
