import { longTask } from "../tasks/longTask.ts";
import type { PanelsSay, SayRequest } from "./say.ts";

export const sayTask = longTask<SayRequest, PanelsSay>("panels-say");
