"""Outside validators, so that we do not only grade ourselves: PDF/UA-1 for PDFs, axe-core and the Nu checker for HTML.

Each module says with `missing()` what it lacks on this machine and with `check(paths)` what it finds. `.ci/run`
installs them; everything else works without them.
"""
