// Begins: unpacks the data, and hands them to the page.

import { App } from "./app.js";
import { bytesOf, decoded, FORMAT } from "./decode.js";
import { wordsFrom } from "./words.js";

async function begin() {
  const say = wordsFrom(document.getElementById("words").textContent);
  const wait = document.getElementById("wait");
  try {
    const values = await decoded(bytesOf(document.getElementById("data").textContent));
    if (values.format !== FORMAT) throw new Error(say("other_format"));
    wait.remove();
    new App(values, say);
  } catch (error) {
    wait.textContent = say("broken", { reason: error.message });
    throw error;
  }
}

begin();
