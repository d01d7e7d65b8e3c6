"""What the source never does: run what it reads, or show a page that runs what it shows."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[3] / "src" / "rimwise"
MODULES = sorted(SOURCE.rglob("*.py"))
TEMPLATES = sorted(SOURCE.rglob("*.j2"))

#: Modules that make objects of bytes, run other programs, or read XML with its entities.
FORBIDDEN_MODULES = {
    "pickle", "marshal", "shelve", "dill", "joblib", "code", "pty", "ctypes", "xmlrpc", "ftplib",
    "urllib.request", "http.client", "smtplib", "telnetlib", "requests", "httpx", "yaml",
    "xml.sax", "xml.dom", "xml.dom.minidom", "lxml",
}  # fmt: skip
#: Opens the server's own pages on the loopback address, to have them ready; asks nobody else.
ASKS_ITSELF = Path("web/warming.py")
#: Tells the C library of this process how to share its memory; nothing that is read gets there.
SHARES_MEMORY = Path("web/arenas.py")
FORBIDDEN_CALLS = {"eval", "exec", "compile", "__import__"}
#: Of the standard XML module only what makes XML and what is raised; parsing is defusedxml's.
XML_NAMES = {"Element", "SubElement", "ParseError", "escape", "quoteattr"}

#: Every one of these has to appear in a text that has a fault; parsing all would take seconds.
SUSPECT = re.compile(
    "|".join(
        rf"\b{re.escape(word)}\b"
        for word in (*FORBIDDEN_MODULES, *FORBIDDEN_CALLS, "xml", "system", "popen", "shell",
                     "allow_pickle")
    )
)  # fmt: skip


def faults(tree: ast.Module) -> list[str]:
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [one.name for one in node.names if one.name in FORBIDDEN_MODULES]
        elif isinstance(node, ast.ImportFrom):
            if node.module in FORBIDDEN_MODULES:
                found.append(node.module)
            if (node.module or "").startswith("xml."):
                found += [one.name for one in node.names if one.name not in XML_NAMES]
        elif isinstance(node, ast.Call):
            called = node.func
            if isinstance(called, ast.Name) and called.id in FORBIDDEN_CALLS:
                found.append(called.id)
            if isinstance(called, ast.Attribute) and called.attr in (
                "system",
                "popen",
                "load_module",
            ):
                found.append(called.attr)
            if any(
                word.arg in ("shell", "allow_pickle") and getattr(word.value, "value", None) is True
                for word in node.keywords
            ):
                found.append("shell or allow_pickle")
    return found


@pytest.mark.parametrize(
    "text",
    [
        "import pickle", "from marshal import loads", "eval(x)", "exec('1')", "os.system('ls')",
        "subprocess.run(x, shell=True)", "numpy.load(f, allow_pickle=True)",
        "from xml.etree.ElementTree import fromstring", "from xml.dom import minidom",
    ],
)  # fmt: skip
def test_each_of_these_would_be_noticed(text):
    assert SUSPECT.search(text)
    assert faults(ast.parse(text))


def test_nothing_that_is_read_is_run():
    texts = {path.relative_to(SOURCE): path.read_text(encoding="utf-8") for path in MODULES}
    suspects = {path: ast.parse(text) for path, text in texts.items() if SUSPECT.search(text)}
    assert len(suspects) > 5  # words in comments and the parts that are allowed
    found = {path: faults(tree) for path, tree in suspects.items() if faults(tree)}
    assert found == {ASKS_ITSELF: ["http.client"], SHARES_MEMORY: ["ctypes"]}
    called = re.findall(r"\b(?:ctypes|mallopt)\b[.(].*", texts[SHARES_MEMORY])
    assert called == ['ctypes.CDLL(None), "mallopt", None)', "mallopt(_ARENA_MAX, 1) == 1"]
    asked = re.findall(r"HTTPConnection\(([^,)]*)", texts[ASKS_ITSELF])
    assert set(asked) == {'"127.0.0.1"'}


def script_faults(text: str) -> list[str]:
    """Return what a template of a page has that the policy of pages forbids, or that unescapes."""
    return re.findall(
        r"<script(?! src=)|\son\w+=|javascript:|\sstyle=|\|\s*safe\b|autoescape", text
    )


@pytest.mark.parametrize(
    "text", ["<script>x", '<a onclick="x">', '<a href="javascript:x">', "{{ x | safe }}"]
)
def test_script_within_a_page_would_be_noticed(text):
    assert script_faults(text)


def test_no_page_has_script_within_or_leaves_text_unescaped():
    pages = [path for path in TEMPLATES if "web" in path.relative_to(SOURCE).parts]
    assert len(pages) > 10
    wrong = {
        path.name: found for path in pages if (found := script_faults(path.read_text("utf-8")))
    }
    assert wrong == {}
