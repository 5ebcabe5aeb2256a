/** Registers every control. */
export { BoleChart, type ChartDraw } from "./boleChart.ts";
export { BoleChoice, type ChoiceOption } from "./boleChoice.ts";
export { BoleFile } from "./boleFile.ts";
export { BoleMessage, type MessageKind } from "./boleMessage.ts";
export { BoleNumber } from "./boleNumber.ts";
export { BoleSlider } from "./boleSlider.ts";
export { BoleSwatch } from "./boleSwatch.ts";
export { BoleText } from "./boleText.ts";
export { BoleToggle } from "./boleToggle.ts";
export { tokens } from "./tokens.ts";
