/** Numbers as the controls show them; the same words serve verdicts, which know no control. */
export { differenceText, LabText, percentText } from "../graph/numbers.ts";
