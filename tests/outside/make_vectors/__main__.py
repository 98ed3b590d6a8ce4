"""Write fixtures/vectors/*.json anew: python tests/outside/make_vectors [NAME ...].

Every expected value comes from a published table or from an independent tool (scipy, statsmodels, ephem,
pint, numerical integration); nothing here imports the product's own calculations.
"""

import sys

import brews
import counting
import digging
import measures
import moisture
import nights
import sky
import stopping
import warmth

FILES = {
    **brews.FILES,
    **counting.FILES,
    **digging.FILES,
    **measures.FILES,
    **moisture.FILES,
    **nights.FILES,
    **sky.FILES,
    **stopping.FILES,
    **warmth.FILES,
}


def main(wanted: list[str]) -> None:
    for name in wanted or sorted(FILES):
        FILES[name]().write()
        print(f"fixtures/vectors/{name}.json")


if __name__ == "__main__":
    main(sys.argv[1:])
