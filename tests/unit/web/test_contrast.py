"""The pages' colours hold WCAG 2.2 level AA: 4.5 to 1 for text (1.4.3), 3 to 1 for the edges of
controls and for shapes that carry meaning (1.4.11), light and dark.

The formula is that of https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio and #dfn-relative-luminance.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import couchside.web

STATIC = Path(couchside.web.__file__).parent / "static"
TEXT = 4.5
SHAPE = 3.0
MORE = {TEXT: 7.0}
"""Where more contrast is wanted, text holds level AAA (1.4.6)."""

PAIRS = [
    ("ink", "ground", TEXT),
    ("ink", "sheet", TEXT),
    ("ink", "tint", TEXT),
    ("ink-soft", "ground", TEXT),
    ("ink-soft", "sheet", TEXT),
    ("ink-soft", "tint", TEXT),
    ("action", "ground", TEXT),
    ("action", "sheet", TEXT),
    ("action-hover", "ground", TEXT),
    ("on-action", "action", TEXT),
    ("on-action", "action-hover", TEXT),
    ("ground", "ink", TEXT),
    ("on-loud", "loud", TEXT),
    ("on-loud-soft", "loud", TEXT),
    ("edge", "ground", SHAPE),
    ("edge", "sheet", SHAPE),
    ("focus", "ground", SHAPE),
    ("focus", "sheet", SHAPE),
    ("focus", "tint", SHAPE),
    ("ink", "bone", TEXT),
    ("ink-soft", "bone", TEXT),
    ("action", "bone", SHAPE),
    ("cable-outline", "bone", SHAPE),
    ("trace-ink", "trace-paper", TEXT),
    ("trace-ink", "trace-mark", TEXT),
    ("trace-label", "trace-paper", TEXT),
    ("trace-hand", "trace-paper", TEXT),
    ("trace-hand", "trace-mark", TEXT),
    ("trace-ink", "trace-major", SHAPE),
    ("trace-ink", "trace-band", TEXT),
    ("trace-ink", "trace-beat", SHAPE),
    ("trace-beat", "trace-paper", SHAPE),
    ("trace-earlier", "trace-paper", TEXT),
    ("trace-tick", "trace-paper", TEXT),
    ("trace-tick", "trace-band", TEXT),
    ("cable-outline", "sheet", SHAPE),
    ("cable-outline", "ground", SHAPE),
]


@pytest.mark.parametrize("scheme", ["light", "dark", "strong light", "strong dark"])
@pytest.mark.parametrize(("front", "back", "least"), PAIRS)
def test_colours_can_be_told_apart(scheme: str, front: str, back: str, least: float) -> None:
    tokens = read_tokens()[scheme]
    assert contrast(tokens[front], tokens[back]) >= (
        MORE.get(least, least) if scheme.startswith("strong") else least
    )


def test_contrast_formula_gives_the_extremes_of_its_definition() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#777777") == pytest.approx(1.0)


def test_colours_stand_in_the_tokens_alone() -> None:
    named = r"#[0-9a-fA-F]{3,8}\b|\brgba?\(|\bhsla?\("
    for sheet in STATIC.glob("*.css"):
        if sheet.name != "tokens.css":
            assert not re.findall(named, sheet.read_text()), sheet.name


def read_tokens() -> dict[str, dict[str, str]]:
    text = (STATIC / "tokens.css").read_text()
    dark, text = _take(text, "(prefers-color-scheme: dark)")
    strong_dark, text = _take(
        text,
        "(prefers-contrast: more) and (prefers-color-scheme: dark), "
        "(forced-colors: active) and (prefers-color-scheme: dark)",
    )
    strong, text = _take(text, "(prefers-contrast: more), (forced-colors: active)")
    forced, text = _take(text, "(forced-colors: active)")
    assert forced == {}, "the system's own colours have names, not figures"
    light = _tokens(text)
    return {
        "light": light,
        "dark": light | dark,
        "strong light": light | strong,
        "strong dark": light | dark | strong | strong_dark,
    }


def _take(text: str, wish: str) -> tuple[dict[str, str], str]:
    """The tokens under one media query, and the text without them."""
    found = re.search(rf"@media {re.escape(wish)} \{{(.*?)\n\}}", text, re.DOTALL)
    assert found is not None
    return _tokens(found.group(1)), text.replace(found.group(0), "")


def _tokens(text: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", text))


def contrast(first: str, second: str) -> float:
    lighter, darker = sorted((luminance(first), luminance(second)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def luminance(colour: str) -> float:
    red, green, blue = (_linear(int(colour[at : at + 2], 16) / 255) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(share: float) -> float:
    return share / 12.92 if share <= 0.04045 else float(((share + 0.055) / 1.055) ** 2.4)
