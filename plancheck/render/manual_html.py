"""The manual as one HTML file that needs nothing else: no script, no picture, nothing fetched."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from plancheck import __version__
from plancheck.render.layout import plural
from plancheck.render.manual import LEAD, LOCAL_CODE, TITLE, RulePage, by_pack, index, limit_rows, looked_at, pages
from plancheck.render.submittal.markup import text as _text
from plancheck.rulebook.rule import Example, Rulebook

_STYLE = """
:root { color-scheme: light; }
body { font: 15px/1.5 Georgia, "DejaVu Serif", serif; color: #1b1b1b; }
body { max-width: 50em; margin: 2em auto; padding: 0 1em; }
h1, h2, h3, th, dt, .tag { font-family: "DejaVu Sans", Verdana, sans-serif; }
h1 { font-size: 1.7em; border-bottom: 3px double #1b1b1b; padding-bottom: .3em; }
h2 { font-size: 1.25em; margin: 0 0 .1em; }
h3 { font-size: .85em; text-transform: uppercase; letter-spacing: .06em; color: #35506b; margin: 1.4em 0 .3em; }
a { color: #1d4e7a; text-decoration: none; }
a:hover { text-decoration: underline; }
article { border-top: 3px double #1b1b1b; padding-top: 1.2em; margin-top: 2.4em; }
.lead { font-size: 1.1em; margin: 0 0 .6em; }
.tag { display: inline-block; font-size: .78em; border: 1px solid; border-radius: 2px; padding: 0 .5em; }
.error { color: #8c1c13; } .warning { color: #8a5a00; } .note { color: #35506b; }
dl { display: grid; grid-template-columns: 10em 1fr; gap: .15em 1em; margin: .4em 0; }
dt { font-size: .85em; color: #555; } dd { margin: 0; overflow-wrap: anywhere; }
table { border-collapse: collapse; width: 100%; font-size: .93em; }
th { text-align: left; font-size: .8em; color: #555; font-weight: normal; }
th, td { border-bottom: 1px solid #cfcfcf; padding: .2em .8em .2em 0; vertical-align: top; overflow-wrap: anywhere; }
code, pre { font-family: "DejaVu Sans Mono", Consolas, monospace; font-size: .87em; }
pre { background: #f4f2ec; border-left: 4px solid #b9b19a; padding: .6em .9em; }
pre { overflow-x: auto; white-space: pre-wrap; }
.fails pre { border-left-color: #8c1c13; } .passes pre { border-left-color: #3d7048; }
.words { columns: 2; } .words p { margin: 0 0 .35em; break-inside: avoid; }
@page { margin: 18mm; }
@media print {
  body { max-width: none; margin: 0; padding: 0; font-size: 10.5pt; }
  article, #words { break-before: page; border-top: 0; margin-top: 0; padding-top: 0; }
  h2, h3, figcaption { break-after: avoid; } pre, tr { break-inside: avoid; }
  a { color: inherit; }
}
"""
_HEAD = (
    '<meta charset="utf-8">\n<meta name="viewport" content="width=device-width, initial-scale=1">\n'
    "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
)


def manual_html(book: Rulebook) -> str:
    """The whole manual."""
    every = pages(book)
    lines = ["<!doctype html>", '<html lang="en">', "<head>", _HEAD, f"<title>{TITLE}</title>"]
    lines += [f"<style>{_STYLE}</style>", "</head>", "<body>", f"<h1>{TITLE}</h1>"]
    packs = list(by_pack(every))
    count = f"{plural(len(every), 'rule')} of {plural(len(packs), 'pack')}, plancheck {__version__}"
    lines += [f"<p>{_text(count)}. {_text(LEAD)}</p>", '<nav id="contents">', "<h2>Contents</h2>"]
    for pack, of_pack in packs:
        lines += [f"<h3>{_text(pack)}</h3>", "<dl>"]
        lines += [f"<dt>{_link(page)}</dt><dd>{_text(page.rule.title)}</dd>" for page in of_pack]
        lines.append("</dl>")
    lines += ['<p><a href="#words">Index of words</a></p>', "</nav>", "<main>"]
    lines += [line for page in every for line in _page(page)]
    lines += ["</main>", *_index(every), "</body>", "</html>"]
    return "\n".join(lines) + "\n"


def _link(page: RulePage) -> str:
    return f'<a href="#{_text(page.anchor)}">{_text(page.rule.id)}</a>'


def _page(page: RulePage) -> Iterator[str]:
    rule = page.rule
    yield f'<article id="{_text(page.anchor)}">'
    yield f"<h2>{_text(rule.id)}</h2>"
    yield f'<p class="lead">{_text(rule.title)}</p>'
    local = f" {LOCAL_CODE}" if rule.life_safety else ""
    yield f'<p><span class="tag {rule.severity}">{_text(page.severity)}</span>{local}</p>'
    rows = [("Pack", page.pack)]
    if rule.only_in:
        rows.append(("Runs", f"only where the jurisdiction is {rule.only_in}, or not stated"))
    rows += [("Known limits", rule.known_limits), ("Stands in", f"{rule.at.source.name}, line {rule.at.line}")]
    yield _list([(label, _text(text)) for label, text in rows])
    yield "<h3>What it looks at</h3>"
    for part in page.outline.parts:
        parts = looked_at(part)
        yield _list([(label, f"<code>{_text(text)}</code>" if code else _text(text)) for label, text, code in parts])
    if rule.limits:
        yield "<h3>Limits</h3>"
        yield from _table(("Limit", "Value", "Where", "Source"), limit_rows(rule))
    yield "<h3>Basis</h3>"
    yield from _table(("Where", "Source", "Clause", "About", "Known how"), page.basis)
    yield "<h3>Remedy</h3>"
    yield from (f"<p>{_text(text)}</p>" for text in page.remedy)
    for passes, heading in ((True, "Passes"), (False, "Fails")):
        yield f"<h3>{heading}</h3>"
        yield from (_example(example) for example in page.examples(passes))
    yield '<p><a href="#contents">Contents</a></p>'
    yield "</article>"


def _list(rows: Sequence[tuple[str, str]]) -> str:
    return "<dl>" + "".join(f"<dt>{label}</dt><dd>{text}</dd>" for label, text in rows) + "</dl>"


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    yield "<table><tr>" + "".join(f"<th>{label}</th>" for label in head) + "</tr>"
    for row in rows:
        yield "<tr>" + "".join(f"<td>{_text(cell)}</td>" for cell in row) + "</tr>"
    yield "</table>"


def _example(example: Example) -> str:
    plan = "\n".join(_text(line.expandtabs(4)) for line in example.text.splitlines())
    how = "passes" if example.passes else "fails"
    return f'<div class="{how}"><p>{_text(example.title)}</p><pre>{plan}</pre></div>'


def _index(every: Sequence[RulePage]) -> Iterator[str]:
    yield '<section id="words">'
    yield "<h2>Index of words</h2>"
    yield '<div class="words">'
    for word, asking in index(every):
        yield f"<p><code>{_text(word)}</code> {', '.join(map(_link, asking))}</p>"
    yield "</div>"
    yield "</section>"
