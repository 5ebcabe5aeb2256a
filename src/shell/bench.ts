import { offerPieces } from "../controls/cellView.ts";
import * as pieces from "../controls/pieces.ts";
import "./keptColumn.ts";
import "./nextStepGuide.ts";
import "./panelStrip.ts";
import "./sideEdge.ts";

// What a person works with after the first look: the guide, the panels, and what is kept in sight beside the cells.
offerPieces(pieces);
