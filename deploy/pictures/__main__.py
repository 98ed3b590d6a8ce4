"""Write every picture anew."""

from deploy.pictures import PAGES, PICTURES, picture

for name in PICTURES:
    (PAGES / f"{name}.svg").write_text(picture(name), encoding="utf-8")
print(f"{len(PICTURES)} pictures in {PAGES}; now: python -m underboard.cli.calc_pages")
