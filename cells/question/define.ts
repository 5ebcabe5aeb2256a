import * as v from "valibot";
import {
  askable,
  fillText,
  type NamedQuantity,
  namesIn,
  quantityChange,
  quantityNamed,
  quantityText,
} from "../../src/graph/askedQuantity.ts";
import { InputError } from "../../src/graph/outcome.ts";
import type { Offered, Setting } from "../../src/graph/quantity.ts";
import { defineCell } from "../../src/ports/defineCell.ts";

const optional = (text: string) => v.optional(v.pipe(v.number(), v.finite(text)));

const answerSchema = v.strictObject({
  label: v.pipe(v.string(), v.minLength(1, "an answer needs words"), v.maxLength(200)),
  /** Right from here … */
  from: optional("a number is needed"),
  /** … up to, but not including, here. */
  to: optional("a number is needed"),
  /** Right when there is no such number. */
  none: v.optional(v.boolean()),
  /** The number that this answer stands for, when the least or greatest is asked. */
  quantity: v.optional(v.pipe(v.string(), v.maxLength(130))),
});

export type OfferedAnswer = v.InferOutput<typeof answerSchema>;

/** One answer to choose, with the computed number behind it where each has its own. */
interface Choice {
  readonly label: string;
  readonly shown: string | undefined;
}

/** A question with its computed answer. */
export interface AskedQuestion {
  readonly text: string;
  /** What is told after the answer. */
  readonly after: string;
  /** What is asked, with its computed value. */
  readonly answer: NamedQuantity;
  /** The number to show while something is moved, when it is not the one asked. */
  readonly watched: NamedQuantity | undefined;
  /** The answers to choose from; none when a number is asked. */
  readonly choices: readonly Choice[];
  /** Index of the right answer; undefined when a number is asked, or when none of the answers fits. */
  readonly right: number | undefined;
  readonly tolerance: number;
  /** A parameter of another cell to move and see. */
  readonly moves: (Setting & { readonly cell: string; readonly title: string }) | undefined;
  /** All that could be asked of the linked cells. */
  readonly askable: readonly NamedQuantity[];
}

export const question = defineCell({
  kind: "question",
  label: "Question",
  about:
    "Predict, then see what is computed, then move a slider and watch it change. " +
    "The answer is always a number of a linked cell, in that cell's own unit, never a typed one.",
  inputs: {
    about: { type: "any", label: "Asks about", many: true },
    moves: { type: "any", label: "Then moves", optional: true },
  },
  parameters: {
    text: {
      type: "text",
      label: "Question",
      help: "{name} stands for a computed number, {one - other} for a change.",
      initial: "What do you expect?",
      maxLength: 2000,
      long: true,
    },
    ask: {
      type: "choice",
      label: "The learner",
      options: [
        { value: "number", label: "predicts a number" },
        { value: "range", label: "chooses a range" },
        { value: "least", label: "chooses which is least" },
        { value: "greatest", label: "chooses which is greatest" },
      ],
      initial: "number",
    },
    quantity: {
      type: "text",
      label: "Number asked",
      help: "Empty: the first one of the linked cell.",
      initial: "",
      maxLength: 130,
    },
    against: {
      type: "text",
      label: "Counted from",
      help: "Another number to take away, to ask for a change; for least and greatest its size counts, not its sign.",
      initial: "",
      maxLength: 130,
    },
    tolerance: {
      type: "number",
      label: "Near enough within",
      help: "In the unit of the number asked.",
      min: 0,
      max: 100_000,
      step: 0.1,
      digits: 2,
      initial: 5,
    },
    guessFrom: {
      type: "number",
      label: "Guesses from",
      min: -100_000,
      max: 100_000,
      step: 1,
      digits: 2,
      initial: 0,
    },
    guessTo: {
      type: "number",
      label: "Guesses to",
      min: -100_000,
      max: 100_000,
      step: 1,
      digits: 2,
      initial: 100,
    },
    answers: {
      type: "value",
      label: "Answers to choose from",
      schema: v.pipe(v.array(answerSchema), v.maxLength(8, "at most 8 answers")),
      initial: [] as OfferedAnswer[],
    },
    after: {
      type: "text",
      label: "Told after the answer",
      help: "{name} stands for a computed number, {one - other} for a change.",
      initial: "",
      maxLength: 4000,
      long: true,
    },
    moved: {
      type: "text",
      label: "Parameter to move",
      help: "Its name in the cell linked under “Then moves”, or in the one asked about.",
      initial: "",
      maxLength: 64,
    },
    watch: {
      type: "text",
      label: "Number to watch while moving",
      help: "Empty: the number asked.",
      initial: "",
      maxLength: 130,
    },
    prediction: {
      type: "value",
      label: "Prediction",
      schema: v.nullable(v.pipe(v.number(), v.finite())),
      initial: null as number | null,
    },
    revealed: { type: "toggle", label: "Answer shown", initial: false },
    /** The computed answer when it was shown; the learner is judged by this one while things move. */
    seen: {
      type: "value",
      label: "Answer when shown",
      schema: v.nullable(v.pipe(v.number(), v.finite())),
      initial: null as number | null,
    },
    /** The words as they were filled when the answer was shown: they tell of that moment, not of what is moved later. */
    told: {
      type: "value",
      label: "Words when shown",
      schema: v.nullable(
        v.strictObject({
          text: v.pipe(v.string(), v.maxLength(6000)),
          after: v.pipe(v.string(), v.maxLength(12_000)),
        }),
      ),
      initial: null as { text: string; after: string } | null,
    },
    /** Where the moved parameter stood when the answer was shown, to put it back. */
    home: {
      type: "value",
      label: "Parameter when shown",
      schema: v.nullable(v.pipe(v.number(), v.finite())),
      initial: null as number | null,
    },
  },
  compute: ({ about, moves }, p, { note }): AskedQuestion => {
    const others = moves ? [moves] : [];
    const all = askable(about);
    if (all.length === 0) {
      throw new InputError("The linked cell has no numbers to ask about", {
        field: "about",
        wayOut: "Link a cell with a computed result, such as coverage or a ratio sweep",
      });
    }
    const choosing = p.ask !== "number";
    if (choosing && p.answers.length < 2) {
      throw new InputError("There are no answers to choose from", {
        field: "answers",
        wayOut: "Write at least two answers, or ask for a number",
      });
    }
    if (!choosing && !(p.guessFrom < p.guessTo)) {
      throw new InputError(`Guesses from ${p.guessFrom} to ${p.guessTo} leave nothing to choose`, {
        field: "guessTo",
        wayOut: "Set the second above the first",
      });
    }
    const base = p.against ? quantityNamed(about, p.against, "against", others) : undefined;
    const numberOf = (reference: string, field: string) => {
      const found = quantityNamed(about, reference, field, others);
      return base ? quantityChange(found, base) : found;
    };
    const ranked = p.ask === "least" || p.ask === "greatest";
    const ranks = ranked ? p.answers.map(({ quantity }) => numberOf(quantity ?? "", "answers")) : [];
    const size = ({ value }: NamedQuantity) => (base && value !== undefined ? Math.abs(value) : value);
    const right = ranked ? extreme(ranks.map(size), p.ask === "greatest") : undefined;
    const answer = ranked ? ranks[right ?? 0] : numberOf(p.quantity || all[0].reference, "quantity");
    const fitting = ranked ? right : choosing ? rangeOf(p.answers, answer.value) : undefined;
    if (choosing && fitting === undefined) note("None of the answers fits what is computed now");
    return {
      text: fillText(p.text, about, "text", others),
      after: fillText(p.after, about, "after", others),
      answer,
      watched: p.watch ? quantityNamed(about, p.watch, "watch", others) : undefined,
      choices: choosing
        ? p.answers.map(({ label }, index) => ({
            label,
            shown: ranked ? quantityText(ranks[index]) : undefined,
          }))
        : [],
      right: fitting,
      tolerance: p.tolerance,
      moves: moves ? settingOf([moves], p.moved) : p.moved ? settingOf(about, p.moved) : undefined,
      askable: all,
    };
  },
  asks: (p) => {
    const ranked = p.ask === "least" || p.ask === "greatest";
    const answers = ranked ? p.answers.map(({ quantity }) => quantity ?? "") : [p.quantity];
    return {
      isOpen: !p.revealed,
      about: "about",
      answers,
      mentions: [p.watch, ...namesIn(p.text), ...namesIn(p.after)],
    };
  },
  verdict: (value, { revealed, prediction, seen }) => {
    if (!revealed) return { text: "Not answered yet.", figure: "Not answered yet" };
    const said = judge(value, prediction, seen);
    const { choices, answer } = value;
    const computed =
      choices.length > 0
        ? seen === null
          ? "None of the answers fits."
          : `It is: ${choices[seen]?.label}.`
        : `Computed: ${quantityText({ ...answer, value: seen ?? undefined })}.`;
    const words = judgementWords[said];
    return { text: `${words} ${computed}`.trim(), figure: words };
  },
  summarise: ({ text, after, answer, choices, right }) => ({
    text,
    after,
    asked: answer.label,
    answer: answer.value ?? answer.none ?? null,
    unit: answer.unit,
    ...(choices.length > 0 ? { right: right === undefined ? null : choices[right].label } : {}),
  }),
});

export default question;

/** Index of the least or greatest of some numbers; those there are none of do not count. */
function extreme(values: readonly (number | undefined)[], greatest: boolean): number | undefined {
  let best: number | undefined;
  values.forEach((value, index) => {
    if (value === undefined) return;
    const before = best === undefined ? undefined : (values[best] as number);
    if (before === undefined || (greatest ? value > before : value < before)) best = index;
  });
  return best;
}

function rangeOf(answers: readonly OfferedAnswer[], value: number | undefined): number | undefined {
  const index = answers.findIndex(({ from, to, none }) =>
    value === undefined
      ? none === true
      : none !== true &&
        value >= (from ?? Number.NEGATIVE_INFINITY) &&
        value < (to ?? Number.POSITIVE_INFINITY),
  );
  return index < 0 ? undefined : index;
}

/** The parameter of that name in the first cell that has it; without a name, the first one there is. */
function settingOf(cells: readonly Offered[], name: string): AskedQuestion["moves"] {
  for (const { settings, cell, title } of cells) {
    const setting = name ? settings.find((candidate) => candidate.name === name) : settings[0];
    if (setting) return { ...setting, cell, title };
  }
  const known = cells.flatMap(({ settings }) => settings.map((setting) => setting.name));
  throw new InputError(`There is no number called "${name}" to move in the linked cells`, {
    field: "moved",
    wayOut: `They have ${known.join(", ") || "none: link another cell"}`,
  });
}

/** How a prediction compares with the answer. */
type Judgement = "right" | "near" | "wrong" | "unguessed";

/** The same in words. */
export const judgementWords: Record<Judgement, string> = {
  right: "✓ Right.",
  near: "≈ Close.",
  wrong: "✗ Not so.",
  unguessed: "",
};

/** How a number is told. */
type Shown = Pick<NamedQuantity, "label" | "unit" | "digits">;

/** A colour difference of this size is just noticed, side by side (common practice). */
const justNoticeable = 1;

/** The least step of a number that a person notices: for others than colour differences one of the last digit shown. */
function noticeableStep({ label, unit, digits }: Shown): number {
  return /ΔE/.test(label + unit) ? justNoticeable : 10 ** -digits;
}

/**
 * Judge a prediction: right within the tolerance, near within a fifth of the answer or one noticeable step.
 * @param prediction the number, or the index of the chosen answer; null when nothing was predicted
 * @param seen what was computed when the answer was shown: the number, or the index of the right answer; null for none
 */
export function judge(
  { choices, tolerance, answer }: Pick<AskedQuestion, "choices" | "tolerance"> & { readonly answer: Shown },
  prediction: number | null,
  seen: number | null,
): Judgement {
  if (prediction === null) return "unguessed";
  if (choices.length > 0 || seen === null) return prediction === seen ? "right" : "wrong";
  const off = Math.abs(prediction - seen);
  // What is off by exactly so much counts, though tenths have no exact binary form.
  const within = (limit: number) => off <= limit * (1 + 1e-9);
  if (within(tolerance)) return "right";
  return within(Math.max(0.2 * Math.abs(seen), noticeableStep(answer))) ? "near" : "wrong";
}
