"""The records the tool works on: facts, references, cautions, plans, answers, and the documents made of them."""
