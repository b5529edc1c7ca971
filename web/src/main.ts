// The page begins here.
import { mount } from "svelte";
import App from "./App.svelte";
import { begin } from "./state/actions";
import "./styles/base.css";
import { words } from "./words";

document.documentElement.lang = words.language;
begin();
const place = document.getElementById("page");
if (place) mount(App, { target: place });
