"""Panels to be bought by stage, those at hand left out: ``rackspec export | python3 panels_to_buy.py``."""

import json
import sys

for rack in json.load(sys.stdin)["racks"]:
    at_hand = [(item["part"], item["pieces"]) for item in rack["have"]]
    left = {part: sum(pieces for name, pieces in at_hand if name == part) for part, _ in at_hand}
    panels = [panel for row in rack["rows"] for panel in row["panels"] if panel["part"]]
    for panel in sorted(panels, key=lambda panel: panel["since"]):
        left[panel["part"]] = left.get(panel["part"], 0) - 1
        if left[panel["part"]] < 0:
            stage, price = rack["stages"][panel["since"]]["name"] or "start", panel["facts"]["price"]
            print(rack["name"], stage, panel["part"], price["text"] if price else "price not known", sep="\t")
