/** Registers the controls that most views have; what takes files comes with the views that take them. */
import "./boleChoice.ts";
import "./boleMessage.ts";
import "./boleNumber.ts";
import "./boleSlider.ts";
import "./boleSwatch.ts";
import "./boleText.ts";
import "./boleToggle.ts";
