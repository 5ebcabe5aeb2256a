/** Registers every control. */
import "./boleChart.ts";
import "./boleChoice.ts";
import "./boleFile.ts";
import "./boleMessage.ts";
import "./boleNumber.ts";
import "./boleSlider.ts";
import "./boleSwatch.ts";
import "./boleText.ts";
import "./boleToggle.ts";
