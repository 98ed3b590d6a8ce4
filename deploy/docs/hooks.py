"""What the help takes from elsewhere in the repository, and how its pages keep to the policy.

Pages that stand beside the code they describe (calculations, measured figures, https, security, DEVELOPERS.md) are
brought in at build time, so that each thing is written once. Scripts that the theme writes into its pages become
files, because the server allows no script inside a page.
"""

from __future__ import annotations

import hashlib
import posixpath
import re
import shutil
from pathlib import Path
from typing import Any, Final

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File, Files

ROOT: Final = Path(__file__).parents[2]
AGRONOMY: Final = "server/underboard/core/agronomy"
PICTURES: Final = Path(__file__).with_name("pictures")
PAGES: Final = Path(__file__).with_name("pages")
OWN: Final = frozenset(path.name for path in PAGES.glob("*.md"))

# file of the repository → page of the help
BROUGHT: Final[dict[str, str]] = {
    "deploy/certificates.md": "https.md",
    "deploy/security.md": "security.md",
    "deploy/many_plots/README.md": "many-plots.md",
    f"{AGRONOMY}/HONESTY.md": "honesty.md",
    "server/underboard/core/warnings/REPLAY.md": "replay.md",
    "DEVELOPERS.md": "contributors.md",
    "pwa/public/icon.svg": "icon.svg",
}
LINK: Final = re.compile(r"(?<!!)\[([^\]]+)\]\(([^)#:]+)(#[^)]*)?\)")
INLINE: Final = re.compile(r"<script>(.*?)</script>", re.S)
# maps for debuggers, and the search's other languages (the pages are in English)
NOT_NEEDED: Final = ("assets/javascripts/lunr", "sitemap.xml", "sitemap.xml.gz", "404.html")


def brought() -> dict[str, str]:
    """Every file that is brought in, with its page."""
    pages = {f"{AGRONOMY}/docs/{path.name}": f"calculations/{path.name}" for path in sorted(
        (ROOT / AGRONOMY / "docs").iterdir()) if path.suffix in (".md", ".svg")}  # fmt: skip
    shots = {
        f"deploy/docs/pictures/{path.name}": f"pictures/{path.name}" for path in sorted(PICTURES.iterdir())
    }
    return {**BROUGHT, **pages, **shots}


def on_files(files: Files, config: MkDocsConfig) -> Files:
    """Add what is brought in."""
    for source, page in brought().items():
        if page.endswith(".md"):
            text = relinked((ROOT / source).read_text(encoding="utf-8"), source, page)
            files.append(File.generated(config, page, content=text))
        else:
            files.append(File.generated(config, page, abs_src_path=str(ROOT / source)))
    return files


def relinked(text: str, source: str, page: str) -> str:
    """Links between files of the repository become links between pages, or the name of the file where it is none."""
    pages = brought()

    def one(found: re.Match[str]) -> str:
        words, target, part = found[1], found[2], found[3] or ""
        at = posixpath.normpath(posixpath.join(posixpath.dirname(source), target))
        at = at.removeprefix("deploy/docs/pages/")
        if at in OWN:
            return f"[{words}]({posixpath.relpath(at, posixpath.dirname(page) or '.')}{part})"
        if at in pages:
            return f"[{words}]({posixpath.relpath(pages[at], posixpath.dirname(page) or '.')}{part})"
        return f"{words} (`{at}`)" if (ROOT / at).exists() and words != at else f"`{at}`"

    return LINK.sub(one, text)


def on_post_page(output: str, *, page: Any, config: MkDocsConfig) -> str:
    """Move each script that stands in the page into a file of its own."""
    folder = Path(config.site_dir) / "assets" / "inline"
    up = "../" * page.url.count("/")

    def moved(found: re.Match[str]) -> str:
        text = found[1].encode()
        name = f"{hashlib.sha256(text).hexdigest()[:12]}.js"
        folder.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(text)
        return f'<script src="{up}assets/inline/{name}"></script>'

    return INLINE.sub(moved, output)


def on_post_build(config: MkDocsConfig) -> None:
    """Take away what no reader needs."""
    site = Path(config.site_dir)
    for name in NOT_NEEDED:
        path = site / name
        shutil.rmtree(path) if path.is_dir() else path.unlink(missing_ok=True)
    for path in site.rglob("*.map"):
        path.unlink()
