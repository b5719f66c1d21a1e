"""Nothing in, the lines that mend a missing system library out; kept apart so that asking for them loads nothing."""

from __future__ import annotations

APT = "sudo apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
PDF_LIBRARIES = (
    f"On Debian or Ubuntu: {APT}\n"
    "On a Mac with Homebrew: brew install pango\n"
    "On Windows: install MSYS2, then in its terminal: pacman -S mingw-w64-ucrt-x86_64-pango\n"
    "Until then .html and .txt work without it; a browser can print the .html file."
)
