// What stands beside the cells, after the first of them.
import "../shell/keptColumn.ts";
import "../shell/panelStrip.ts";
