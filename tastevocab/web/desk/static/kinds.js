// How each kind of mark is told: a sign, a word and a sentence; never by colour alone.

export const KINDS = {
  finding: ["+", "counted", "found: counts this person"],
  hedged: ["?", "counted with doubt", "found with doubt: counts for less"],
  denial: ["−", "denied", "said not to be there"],
  echo: ["=", "not counted", "agrees with another, was led to it, or came after the reveal"],
  fault: ["!", "fault", "a taint: kept off the map, told before everything else"],
  asked: ["*", "asked", "counted for nobody until you say"],
  unknown: ["¿", "not known", "no word of the vocabulary"],
  attribute: ["~", "quality", "taste, body, finish"],
  aside: ["×", "set aside", "a flavour word that is no finding"],
};

export const sign = (kind) => KINDS[kind][0];

export function toldOf(mark) {
  const word = KINDS[mark.kind][1];
  const decided = mark.added ? ", added by you" : mark.decided ? ", decided" : "";
  const means = mark.means ? `: ${mark.means}` : "";
  const reason = mark.reason ? ` (${mark.reason})` : "";
  return `${mark.words}${means}, ${word}${reason}${decided}`;
}
