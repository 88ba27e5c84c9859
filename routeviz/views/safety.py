"""What to heed with hands in a case, whatever the scene: told before the first tube, on screen and on paper.

Common practice among those who restore such instruments; it stands for no code, and for nobody's licence.
"""

SAFETY = (
    "A case of this kind is heavy, and heaviest at its back: it falls backwards. "
    "Move or tilt it with a second person, strap it first, and block its wheels",
    "Pull the mains plug before a hand goes in. "
    "Old wiring may be bare under its cover, and a tube is no insulator",
    "Keep fingers out of what moves or is sprung, and lock or block it while you work",
    "Old lead tube is poisonous, and so is the dust in it: do not cut it dry, sand or bend it",
    "Test a tube with a bulb or a gauge, never by mouth",
    "Local rules come first; leave to licensed people what is theirs",
)
