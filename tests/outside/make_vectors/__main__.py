"""Write fixtures/vectors/*.json anew: python tests/outside/make_vectors [--into FOLDER] [NAME ...].

Every expected value comes from a published table or from an independent tool (scipy, statsmodels, ephem,
pint, numerical integration); nothing here imports the product's own calculations.
"""

import argparse
from pathlib import Path

import alarms
import brews
import counting
import digging
import measures
import moisture
import nights
import sky
import stopping
import trials
import warmth
from writing import FOLDER

FILES = {
    **alarms.FILES,
    **brews.FILES,
    **counting.FILES,
    **digging.FILES,
    **measures.FILES,
    **moisture.FILES,
    **nights.FILES,
    **sky.FILES,
    **stopping.FILES,
    **trials.FILES,
    **warmth.FILES,
}


def main() -> None:
    parser = argparse.ArgumentParser(description="Write the shared vectors anew.")
    parser.add_argument("--into", type=Path, default=FOLDER, metavar="FOLDER")
    parser.add_argument("names", nargs="*", metavar="NAME")
    asked = parser.parse_args()
    for name in asked.names or sorted(FILES):
        FILES[name]().write(asked.into)
        print(f"{asked.into.name}/{name}.json")


if __name__ == "__main__":
    main()
