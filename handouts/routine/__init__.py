"""The answer desk's routine: comments to drafts, drafts to a final file, the log of questions, the report on it."""
