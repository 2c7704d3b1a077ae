// The page's own words, by what they are for; blanks stand in braces.

export function wordsFrom(text) {
  const words = JSON.parse(text);
  return (name, blanks = {}) => {
    const said = Object.prototype.hasOwnProperty.call(words, name) ? words[name] : name;
    return said.replace(/\{(\w+)\}/g, (whole, blank) => (blank in blanks ? String(blanks[blank]) : whole));
  };
}

/** What stands over a detail: a usual heading in the page's language, any other as it is. */
export function headingOf(detail, say) {
  const usual = say(`heading.${detail.heading}`);
  return usual.startsWith("heading.") ? detail.heading : usual;
}

/** "✓", "✗" or nothing: no meaning rests on colour alone. */
export function signOf(detail) {
  if (detail.bad) return "✗";
  return detail.clear ? "✓" : "";
}

export function kindOf(detail) {
  if (detail.bad) return "bad";
  return detail.clear ? "good" : "plain";
}
