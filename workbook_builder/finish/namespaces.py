"""Write drawings and charts as most programs do: tags with their prefixes, and links between parts from where they stand.

The format allows default namespaces and targets from the root as well, but some readers know only these.
"""

from __future__ import annotations

import posixpath
import re

from workbook_builder.finish.parts import Parts

#: Folder of the parts -> prefix of their tags.
PREFIXES = {"xl/drawings/": b"xdr", "xl/charts/": b"c"}
_BARE = re.compile(rb"<(/?)(?=[A-Za-z]\w*[\s/>])")
_DEFAULT = re.compile(rb'\sxmlns="')
_FROM_ROOT = re.compile(r'(?<=\sTarget=")/([^"]*)')


def as_usual(parts: Parts) -> Parts:
    """Return the parts with prefixed drawings and charts, and with relative targets."""
    return {name: _from_here(name, part) if name.endswith(".rels") else _prefixed(name, part) for name, part in parts.items()}


def _prefixed(name: str, part: bytes) -> bytes:
    prefix = next((prefix for folder, prefix in PREFIXES.items() if name.startswith(folder) and name.endswith(".xml")), None)
    # With one default namespace, that of the root, every tag without a prefix belongs to it.
    if prefix is None or len(_DEFAULT.findall(part)) != 1:
        return part
    return _BARE.sub(rb"<\1" + prefix + b":", _DEFAULT.sub(b" xmlns:" + prefix + b'="', part))


def _from_here(name: str, part: bytes) -> bytes:
    # Links of a/b.xml stand in a/_rels/b.xml.rels and count from a.
    folder = posixpath.dirname(posixpath.dirname(name))
    return _FROM_ROOT.sub(lambda found: posixpath.relpath(found[1], folder or "."), part.decode("utf-8")).encode("utf-8")
