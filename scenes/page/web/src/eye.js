// Where the viewer stands: round a point, by angles; fitted to what must be seen; flown from place to place.

import { PerspectiveCamera, Vector3 } from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";

const FIELD = 26; // degrees, upright
const ROOM = 0.84; // share of the picture that a fitted view fills
const FLIGHT = 650; // milliseconds
const NEAREST = 0.12; // metres
const FARTHEST = 3.5; // times the fitted distance
const STEEPEST = 1.5690509975429023;

export class Eye {
  /** surface: the element that fingers and pointers turn it by; changed: called when it has moved. */
  constructor(surface, changed) {
    this.camera = new PerspectiveCamera(FIELD, 1, 0.1, 100);
    this.camera.up.set(0, 0, 1);
    this.corners = [];
    this.flight = null;
    this.still = window.matchMedia("(prefers-reduced-motion: reduce)");
    this.camera.position.set(0, -3, 2);
    const controls = new OrbitControls(this.camera, surface);
    controls.enableDamping = true;
    controls.dampingFactor = 0.14;
    controls.minDistance = NEAREST;
    controls.minPolarAngle = Math.PI / 2 - STEEPEST;
    controls.maxPolarAngle = 0.9 * Math.PI;
    controls.zoomToCursor = false;
    controls.screenSpacePanning = true;
    controls.addEventListener("change", changed);
    controls.addEventListener("start", () => {
      this.flight = null;
    });
    this.controls = controls;
    this.changed = changed;
  }

  /** {azimuth, elevation, distance, target}, as the page's views have them. */
  get place() {
    const target = this.controls.target;
    const off = this.camera.position.clone().sub(target);
    const distance = off.length();
    return {
      azimuth: Math.atan2(off.x, -off.y),
      elevation: Math.asin(Math.min(Math.max(off.z / distance, -1), 1)),
      distance,
      target: target.toArray(),
    };
  }

  set place({ azimuth, elevation, distance, target }) {
    this.controls.target.fromArray(target);
    this.camera.position.copy(towards(azimuth, elevation)).multiplyScalar(distance).add(this.controls.target);
    this.controls.update();
    this.changed();
  }

  /** The place from which a view shows all corners in a picture of some width over its height. */
  fitted({ azimuth, elevation }, corners = this.corners) {
    const target = new Vector3();
    for (const corner of corners) target.addScaledVector(corner, 1 / corners.length);
    const up = Math.tan((FIELD * Math.PI) / 360) * ROOM;
    const aside = up * this.camera.aspect;
    const back = towards(azimuth, elevation);
    const right = new Vector3(Math.cos(azimuth), Math.sin(azimuth), 0);
    const over = back.clone().cross(right);
    let distance = NEAREST;
    for (const corner of corners) {
      const off = corner.clone().sub(target);
      const wide = Math.max(Math.abs(off.dot(right)) / aside, Math.abs(off.dot(over)) / up);
      distance = Math.max(distance, off.dot(back) + wide);
    }
    return { azimuth, elevation, distance, target: target.toArray() };
  }

  /** Corners that a fitted view holds, and how far away the viewer may go. */
  hold(corners) {
    this.corners = corners;
    const far = this.fitted({ azimuth: 0.6, elevation: 0.7 }).distance;
    // The viewer stays where they are, even where that is far from what is shown now.
    this.controls.maxDistance = Math.max(FARTHEST * far, this.place.distance);
  }

  /** Goes to a place, in one step where moving pictures are not wanted. */
  fly(place) {
    if (this.still.matches) {
      this.place = place;
      return;
    }
    const from = this.place;
    const half = Math.PI;
    const turn = ((((place.azimuth - from.azimuth + half) % (2 * half)) + 2 * half) % (2 * half)) - half;
    this.flight = { from, to: { ...place, azimuth: from.azimuth + turn }, begun: performance.now() };
    this.changed();
  }

  /** One step of a flight or of coming to rest; whether more is to come. */
  step(now) {
    if (this.flight) {
      const { from, to, begun } = this.flight;
      const share = Math.min(Math.max((now - begun) / FLIGHT, 0), 1);
      const eased = share * share * (3 - 2 * share);
      if (share >= 1) this.flight = null;
      this.place = between(from, to, eased);
      return share < 1;
    }
    return this.controls.update();
  }

  turn(azimuth, elevation) {
    const place = this.place;
    const steep = Math.min(Math.max(place.elevation + elevation, -1.2), STEEPEST);
    this.place = { ...place, azimuth: place.azimuth + azimuth, elevation: steep };
  }

  /** Moves what is looked at to the right and up, by shares of the distance. */
  along(right, up) {
    const place = this.place;
    const move = new Vector3(right, up, 0).applyQuaternion(this.camera.quaternion).multiplyScalar(place.distance);
    this.place = { ...place, target: move.add(this.controls.target).toArray() };
  }

  nearer(factor) {
    const place = this.place;
    const distance = Math.min(Math.max(place.distance * factor, NEAREST), this.controls.maxDistance);
    this.place = { ...place, distance };
  }

  /** Near and far planes as close round the model as they can be: sheets 1 mm apart must not flicker. */
  clip(centre, radius) {
    const away = this.camera.position.distanceTo(centre);
    this.camera.near = Math.max(away - radius, 0.04);
    this.camera.far = away + radius + 0.05;
    this.camera.updateProjectionMatrix();
  }
}

export function towards(azimuth, elevation) {
  const level = Math.cos(elevation);
  return new Vector3(Math.sin(azimuth) * level, -Math.cos(azimuth) * level, Math.sin(elevation));
}

function between(from, to, share) {
  const mix = (a, b) => a + share * (b - a);
  return {
    azimuth: mix(from.azimuth, to.azimuth),
    elevation: mix(from.elevation, to.elevation),
    distance: Math.exp(mix(Math.log(from.distance), Math.log(to.distance))),
    target: from.target.map((one, k) => mix(one, to.target[k])),
  };
}
