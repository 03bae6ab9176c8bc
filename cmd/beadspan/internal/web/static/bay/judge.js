// What readings prove, by the study's protocol. The rules are those of the
// server, which has the last word; a test holds the two together.

// capAngleDeg is the contact angle of a drop that is a part of a sphere, from
// its height and width. Gravity flattens a drop, so that it reads low.
export const capAngleDeg = (height, width) => (2 * Math.atan((2 * height) / width) * 180) / Math.PI;

export const mean = (xs) => xs.reduce((sum, x) => sum + x, 0) / xs.length;

// spread is the standard deviation of a sample; 0 for fewer than two.
export const spread = (xs) => {
  if (xs.length < 2) return 0;
  const m = mean(xs);
  return Math.sqrt(xs.reduce((sum, x) => sum + (x - m) ** 2, 0) / (xs.length - 1));
};

// valueOf is what the protocol looks at in a reading; null where that wasn't
// measured.
export const valueOf = (protocol, reading) => {
  switch (protocol.metric) {
    case "angle": return reading?.angles_deg?.length ? mean(reading.angles_deg) : null;
    case "sheet_time": return reading?.sheet_time_s ?? null;
    case "wet_share": return reading?.wet_share_pct ?? null;
    case "bead_grade": return reading?.bead_grade ?? null;
  }
  return null;
};

// passes reports whether a value repels; one on the threshold does.
export const passes = (protocol, value) =>
  protocol.higher_is_good ? value >= protocol.threshold : value <= protocol.threshold;

// judge says what one day's readings of a patch, by stage, prove: holding;
// masked, failed before the decon wash and passed after; spent; contrary,
// passed before and failed after; doubtful, failed without a decon reading; or
// unread.
export const judge = (protocol, byStage) => {
  const outcome = (stage) => {
    const value = valueOf(protocol, byStage[stage]);
    return value === null ? null : passes(protocol, value);
  };
  const before = [outcome("arrival"), outcome("washed")];
  const clean = outcome("decon");
  if (clean === true) return before.includes(false) ? "masked" : "holding";
  if (clean === false) return before.includes(true) ? "contrary" : "spent";
  if (before.includes(true)) return "holding";
  return before.includes(false) ? "doubtful" : "unread";
};

// scattered reports whether another drop should be taken.
export const scattered = (protocol, angles) => spread(angles) > protocol.most_spread_deg;
