"""Plain numbers about a place and a year come in; day lengths, heat sums and freeze dates go out."""
