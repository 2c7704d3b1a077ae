"""How well text stands out, by the formula of WCAG 2.2 ("contrast ratio", "relative luminance",
https://www.w3.org/TR/WCAG22/): a second answer beside axe's."""

from __future__ import annotations

from typing import Any

SHOWN_TEXT = """() => {
  const clear = (colour) => /rgba\\(.*, 0\\)/.test(colour) || colour === "transparent";
  const behind = (element) => {
    for (let one = element; one; one = one.parentElement) {
      const colour = getComputedStyle(one).backgroundColor;
      if (!clear(colour)) return colour;
    }
    return "rgb(255, 255, 255)";
  };
  const rows = [];
  for (const element of document.querySelectorAll("body *")) {
    const own = [...element.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim());
    if (!own || !element.checkVisibility({ visibilityProperty: true, opacityProperty: true })) continue;
    if (element.closest("script, noscript") || element.matches(":disabled")) continue;
    const look = getComputedStyle(element);
    rows.push({ text: element.textContent.trim().slice(0, 40), colour: look.color, paper: behind(element),
      size: parseFloat(look.fontSize), weight: Number(look.fontWeight) });
  }
  return rows;
}"""
"""A script that gives every text in sight with its colour and what is behind it. What is said to be off is
left out, as WCAG 1.4.3 does."""


def luminance(colour: str) -> float:
    """Relative luminance (0 to 1) of a colour as a browser tells it, "rgb(28, 32, 36)" or with a fourth
    number for how solid it is, here taken as solid."""
    parts = colour[colour.index("(") + 1 : -1].split(",")
    red, green, blue = (_linear(float(part) / 255) for part in parts[:3])
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


def contrast(one: str, two: str) -> float:
    """Contrast ratio of two colours, 1 to 21."""
    darker, lighter = sorted((luminance(one), luminance(two)))
    return (lighter + 0.05) / (darker + 0.05)


def needed(row: dict[str, Any]) -> float:
    """4.5, or 3 for large text: 24 px, or 18.66 px and bold."""
    large = row["size"] >= 24 or (row["size"] >= 18.66 and row["weight"] >= 700)
    return 3.0 if large else 4.5
