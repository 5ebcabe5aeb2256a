import "./workbench.ts";
