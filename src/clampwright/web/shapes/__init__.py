"""What the API answers: the shape of every successful answer, each described once."""
