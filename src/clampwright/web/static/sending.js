// Pages beside the bench send what waits on this device too, and say how much it is.

import { keepSending } from "./outbox.js";
import "./offline-note.js";
import "./unsent-count.js";

keepSending();
