"""SVG text in, the same drawing safe to stand inside a page out: known elements only, nothing fetched, own ids."""

from __future__ import annotations

import re
from xml.etree import ElementTree
from xml.etree.ElementTree import Element
from xml.sax.saxutils import escape, quoteattr

from handouts.errors import BadContent

SVG_LIMIT = 200 * 1024
ELEMENT_LIMIT = 5_000
DEPTH_LIMIT = 32
USE_LIMIT = 200
NAMESPACE = "http://www.w3.org/2000/svg"
_SHAPES = {"path", "circle", "ellipse", "rect", "line", "polyline", "polygon", "text", "tspan"}
_HELPERS = {"title", "desc", "defs", "linearGradient", "radialGradient", "stop", "use"}
# What these hold is drawn again at every reference; a reference inside them could multiply without end.
_REPEATED = {"pattern", "clipPath", "marker", "symbol"}
ALLOWED = frozenset({"svg", "g"} | _SHAPES | _HELPERS | _REPEATED)
_HREF = ("href", "{http://www.w3.org/1999/xlink}href")
_XML_SPACE = "{http://www.w3.org/XML/1998/namespace}"
_URL = re.compile(r"url\(\s*['\"]?([^'\")]*)['\"]?\s*\)", re.IGNORECASE)
_NAME = re.compile(r"^[A-Za-z_][\w.-]*$")
# The same families as the text around; a reader without the bundled fonts sees a plain face, never a serif by chance.
_TEXT_FONT = "Atkinson Hyperlegible, Handouts Serif, sans-serif"


def read_svg(text: str, name: str) -> Element:
    """Return the root of the drawing `text`; `name` is only said in errors.

    Raises BadContent for anything but a small, plain, self-contained drawing: scripts, foreign or animated elements,
    event attributes, references outside the drawing, entities, `use` inside `use`, or a size above the limits.
    """
    if len(text.encode()) > SVG_LIMIT:
        raise _refused(name, f"more than {SVG_LIMIT:,} bytes", "a smaller drawing")
    if "<!" in re.sub(r"<!--.*?-->", "", text, flags=re.DOTALL) or "<?xml-stylesheet" in text:
        raise _refused(name, "a document type, an entity or a style sheet", "plain SVG")
    try:
        root = ElementTree.fromstring(text)
    except ElementTree.ParseError as error:
        raise _refused(name, f"XML that does not parse ({error})", "well-formed SVG") from None
    if root.tag != f"{{{NAMESPACE}}}svg":
        raise _refused(name, f"<{root.tag}>", "an <svg> root in the SVG namespace")
    _check(root, name)
    return root


def _check(root: Element, name: str) -> None:
    ids: dict[str, Element] = {}
    uses: list[Element] = []
    count = 0
    waiting: list[tuple[Element, int, bool]] = [(root, 1, False)]
    while waiting:
        element, depth, repeated = waiting.pop()
        count += 1
        tag = _local(element, name)
        if depth > DEPTH_LIMIT or count > ELEMENT_LIMIT:
            raise _refused(name, "too many or too deeply nested elements", f"at most {ELEMENT_LIMIT:,}")
        if tag not in ALLOWED:
            raise _refused(name, f"the element <{tag}>", "paths, simple shapes and text")
        if repeated and tag == "use":
            raise _refused(name, "<use> inside a repeated part", "the part drawn out")
        _check_attributes(element, tag, repeated, name)
        if tag == "use":
            uses.append(element)
        if (own := element.get("id")) is not None:
            if not _NAME.match(own) or own in ids:
                raise _refused(name, f"the id {own!r}", "each id once, of letters, digits and hyphens")
            ids[own] = element
        waiting.extend((child, depth + 1, repeated or tag in _REPEATED) for child in element)
    if len(uses) > USE_LIMIT:
        raise _refused(name, f"{len(uses)} <use> elements", f"at most {USE_LIMIT}")
    for use in uses:
        wanted = next((use.get(key, "") for key in _HREF if use.get(key)), "")[1:]
        if wanted not in ids:
            raise _refused(name, f"<use> of {wanted!r}, which is not in the drawing", "an id of the same drawing")
        if any(inner.tag == use.tag for inner in ids[wanted].iter()):
            raise _refused(name, "<use> of a part that holds <use>", "the part drawn out")


def _check_attributes(element: Element, tag: str, repeated: bool, name: str) -> None:
    for key, value in element.attrib.items():
        plain = key.rpartition("}")[2].lower()
        if plain.startswith("on") or plain in ("style", "class", "src", "base") or "\\" in value:
            raise _refused(name, f"the attribute {plain!r} on <{tag}>", "plain drawing attributes")
        if plain == "href" and (key not in _HREF or tag != "use" or not value.startswith("#")):
            raise _refused(name, f"a reference to {value!r}", "references inside the drawing only")
        if "url(" in value.lower():
            targets = _URL.findall(value)
            if repeated or len(targets) != value.lower().count("url(") or not all(t.startswith("#") for t in targets):
                raise _refused(name, f"{plain}={value!r}", "url(#id) of the same drawing, outside patterns")


def inline_svg(text: str, name: str, title: str, description: str, prefix: str, width_mm: float) -> str:
    """Return the drawing as markup for a page: named for readers who do not see it, ids made unique by `prefix`.

    `width_mm` becomes the width; the height is left to the view box. Raises BadContent like `read_svg`.
    """
    root = read_svg(text, name)
    box = root.get("viewBox")
    if box is None:
        raise _refused(name, "no viewBox", "an <svg> with a viewBox")
    try:
        _, _, across, down = (float(part) for part in box.replace(",", " ").split())
    except ValueError:
        raise _refused(name, f"viewBox={box!r}", "four numbers") from None
    if across <= 0 or down <= 0:
        raise _refused(name, f"viewBox={box!r}", "a positive width and height")
    for child in [child for child in root if _local(child, name) in ("title", "desc")]:
        root.remove(child)
    for key in list(root.attrib):
        if key.startswith("aria-") or key in ("role", "id", "height"):
            del root.attrib[key]
    root.attrib.update(
        {
            "role": "img",
            "aria-labelledby": f"{prefix}title",
            "aria-describedby": f"{prefix}desc",
            "width": f"{width_mm:g}mm",
            "preserveAspectRatio": "xMinYMin meet",
            "font-family": _TEXT_FONT,
        }
    )
    names = f'<title id="{prefix}title">{escape(title)}</title><desc id="{prefix}desc">{escape(description)}</desc>'
    return _written(root, prefix, name, inside=names)


def _written(element: Element, prefix: str, name: str, inside: str = "") -> str:
    """Write an element by hand: HTML wants no namespace prefixes, and the standard writer would add them."""
    tag = _local(element, name)
    parts = [f"<{tag}"]
    if inside:
        parts.append(f' xmlns="{NAMESPACE}"')
    for key, value in element.attrib.items():
        if key.startswith("{") and not key.startswith(_XML_SPACE) and key not in _HREF:
            continue
        plain = "href" if key in _HREF else key.replace(_XML_SPACE, "xml:")
        if plain == "font-family" and not inside:
            continue
        if plain == "id":
            value = prefix + value
        elif plain == "href":
            value = f"#{prefix}{value[1:]}"
        elif "url(" in value.lower():
            value = _URL.sub(lambda match: f"url(#{prefix}{match.group(1)[1:]})", value)
        parts.append(f" {plain}={quoteattr(value)}")
    content = inside + escape((element.text or "").strip("\n") if tag in ("svg", "g", "defs") else element.text or "")
    for child in element:
        content += _written(child, prefix, name) + escape(_between(child, tag))
    return "".join((*parts, ">", content, f"</{tag}>")) if content else "".join((*parts, "/>"))


def _between(child: Element, parent: str) -> str:
    tail = child.tail or ""
    return tail if parent in ("text", "tspan") else tail.strip()


def svg_text(text: str, name: str) -> str:
    """Return the words a drawing shows (not its title and description), for the check of characters."""
    return " ".join("".join(element.itertext()) for element in read_svg(text, name).iter(f"{{{NAMESPACE}}}text"))


def _local(element: Element, name: str) -> str:
    space, _, tag = str(element.tag).rpartition("}")
    if space != "{" + NAMESPACE:
        raise _refused(name, f"the foreign element <{tag}>", "SVG elements only")
    return tag


def _refused(name: str, found: str, expected: str) -> BadContent:
    return BadContent(f"the picture {name!r} is refused", found=found, expected=expected)
