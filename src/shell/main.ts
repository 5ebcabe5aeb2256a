import "./workbench.ts";

// Said by the server where the shop network is open; on devices, the opening page has what is theirs.
if (document.querySelector('meta[name="bole-shop"][content="computer"]'))
  void import("./photoPlaces.ts").then(({ takePhotographs }) => takePhotographs());
