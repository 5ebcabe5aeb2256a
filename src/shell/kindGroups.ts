/** Kinds of cell under the question that they answer, in the order in which a job comes to them. */
const kindGroups: readonly { readonly question: string; readonly kinds: readonly string[] }[] = [
  { question: "Which colour is to be reached?", kinds: ["target", "photo", "by-eye", "fading"] },
  { question: "What is there to work with?", kinds: ["viewing", "pigment-set", "substrate", "coat-plan"] },
  { question: "What is mixed and laid?", kinds: ["basecoat-blend", "recipe", "coverage"] },
  {
    question: "Which ground suits it best?",
    kinds: ["ratio-sweep", "three-paints", "ground-ranking", "joint-plan", "what-if"],
  },
  {
    question: "Why does it look as it does, and how sure is it?",
    kinds: ["light-budget", "layer-picture", "light-to-light", "one-drop", "how-sure"],
  },
  { question: "How is it weighed, and put right?", kinds: ["weigh-out", "correction", "calibration"] },
  {
    question: "What does the job take, and what came of it?",
    kinds: ["batch", "day-plan", "quote", "job-sheet", "job-record"],
  },
  { question: "What is to be said, asked, practised?", kinds: ["note", "question", "pair-to-judge"] },
];

/** Kinds that are set up once and then only supply the others: they fold when they are ready. */
export const supplies: ReadonlySet<string> = new Set(kindGroups[1].kinds);
