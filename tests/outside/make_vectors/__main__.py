"""Write fixtures/vectors/*.json anew: python tests/outside/make_vectors [NAME ...].

Every expected value comes from a published table or from an independent tool (scipy, statsmodels, ephem,
pint, Python's decimal arithmetic at 40 digits); nothing here imports the product's own calculations.
"""

import sys

import counting
import moisture
import nights
import sky
import warmth

FILES = {**counting.FILES, **nights.FILES, **moisture.FILES, **warmth.FILES, **sky.FILES}


def main(wanted: list[str]) -> None:
    for name in wanted or sorted(FILES):
        FILES[name]().write()
        print(f"fixtures/vectors/{name}.json")


if __name__ == "__main__":
    main(sys.argv[1:])
