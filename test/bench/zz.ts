import { benchStorage } from "./storage.ts";
await benchStorage();
