import type { ChartSize, Mark, PlotLibrary } from "./chartTypes.ts";
import { rowHeight } from "./chrome.ts";
import { type Frame, labelMark } from "./frame.ts";
import { fitText, type KeyPlace, keyRows, keyTextX, spreadLabels, textWidth } from "./labels.ts";
import { keySample, leaderStrokes, type Segment, type Stroke, segmentMarks } from "./strokes.ts";

/** Length of the line from a curve's end to its label, px. */
const leader = 26;

/** Below this width the labels stand in a key above the curves, not at their ends. */
const wideEnough = 540;

/** Where the labels of a chart's curves go, and the room they take. */
export interface LabelRoom {
  atEnds: boolean;
  /** right margin, px */
  right: number;
  /** height of the key at the top, px */
  top: number;
  places: KeyPlace[];
}

export function labelRoom(labels: readonly string[], size: ChartSize): LabelRoom {
  if (size.width >= wideEnough) {
    const longest = Math.max(0, ...labels.map((label) => textWidth(label, true)));
    return { atEnds: true, right: Math.min(longest + leader + 14, size.width * 0.36), top: 0, places: [] };
  }
  const { places, rows } = keyRows(labels, 4, size.width - 4, 2);
  return { atEnds: false, right: 18, top: rows * rowHeight + (rows > 0 ? 4 : 0), places };
}

export interface CurveEnd {
  label: string;
  /** where the curve ends, px */
  x: number;
  y: number;
  bold?: boolean;
}

/** Further lines and words that go into the same marks as the labels. */
export interface Extras {
  lines: (Segment & { stroke: Stroke })[];
  labels: { x: number; y: number; text: string; bold?: boolean }[];
}

/** Labels at the curve ends, moved apart where they would touch, or a key; each with a sample of its own stroke. */
export function curveLabelMarks(
  Plot: PlotLibrary,
  frame: Frame,
  room: LabelRoom,
  ends: readonly CurveEnd[],
  strokes: readonly Stroke[],
  extras: Extras = { lines: [], labels: [] },
): Mark[] {
  const { samples, labels } = room.atEnds ? labelsAtEnds(frame, ends) : labelsInKey(room, ends);
  const sampleStrokes = room.atEnds ? leaderStrokes(strokes) : strokes;
  const allLabels = [...labels, ...extras.labels];
  const bold = allLabels.filter((label) => label.bold);
  const plain = allLabels.filter((label) => !label.bold);
  return [
    ...segmentMarks(
      Plot,
      [...samples, ...extras.lines],
      [...sampleStrokes, ...extras.lines.map((line) => line.stroke)],
    ),
    ...(plain.length > 0 ? [labelMark(Plot, plain)] : []),
    ...(bold.length > 0 ? [labelMark(Plot, bold, "bold")] : []),
  ];
}

function labelsInKey(room: LabelRoom, ends: readonly CurveEnd[]) {
  return {
    samples: room.places.map(keySample),
    labels: room.places.map((place, i) => ({ ...place, x: keyTextX(place), bold: ends[i].bold })),
  };
}

function labelsAtEnds(frame: Frame, ends: readonly CurveEnd[]) {
  const wanted = ends.map((end) => end.y);
  const places = spreadLabels(wanted, rowHeight, frame.top - 8, frame.bottom + 8);
  const x = frame.right + leader + 5;
  return {
    samples: ends.map((end, i) => ({ x1: end.x + 2, y1: end.y, x2: frame.right + leader, y2: places[i] })),
    labels: ends.map((end, i) => ({
      x,
      y: places[i],
      text: fitText(end.label, frame.size.width - x),
      bold: end.bold,
    })),
  };
}
