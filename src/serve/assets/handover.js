// Documents that are handed to the browser.

import { download, tell } from "./dom.js";
import { ask } from "./server.js";

const stem = (name) => name.replace(/\.(ya?ml|html?)$/i, "");

const DOCUMENTS = {
  file: { what: "The scenario", kind: "text/yaml", name: (source) => source },
  report: { what: "The report", kind: "text/html", name: (source) => `${stem(source)}-report.html` },
  bundle: { what: "The page as one file", kind: "text/html", name: (source) => `${stem(source)}-page.html` },
  comparison: { what: "The comparison", kind: "text/html", name: (source) => `${stem(source)}-compared.html` },
  sheet: { what: "The test sheet", kind: "text/html", name: (source) => `${stem(source)}-sheet.html` },
};

/** Has a document made of what is asked, and hands it over. */
export async function handOver(which, asked, source, onTrouble) {
  const { what, kind, name } = DOCUMENTS[which];
  try {
    tell(`${what} is being made.`);
    const text = await ask(`/api/${which}`, asked);
    download(name(source || "scenario.yaml"), text, kind);
    tell(`${what} was handed to the browser.`);
  } catch (error) {
    onTrouble(error);
  }
}
