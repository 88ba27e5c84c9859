"""A register with a column of every kind, and rows that are awkward to write."""

from routeviz.archive.registers import Field, Register

PARTS = Register(
    name="parts",
    title="Parts",
    about="What stands in the case.",
    fields=(
        Field(name="part", about="Its name."),
        Field(name="kind", about="What it is.", one_of=("box", "keep_clear", "a (b)")),
        Field(name="long_mm", about="How long.", kind="number", unit="mm", required=False, least=0),
        Field(name="count", about="How many.", kind="whole", least=1),
        Field(name="moves", about="Whether it moves.", kind="yes or no"),
    ),
    rows=(
        ("#1 'shelf'", "box", 1e-07, 1, True),
        ('=a, "b"\r\nc ', "keep_clear", None, 30, False),
        ("é", "a (b)", 12.5, 2, False),
    ),
    key=("part",),
)
