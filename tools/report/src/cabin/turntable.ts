// The cabin to be turned: walls are drawn from inside only, so that one looks through the near ones.
import {
  AmbientLight, Box3, BufferAttribute, BufferGeometry, CircleGeometry, Color, ConeGeometry, DirectionalLight, DoubleSide, FrontSide, Group, Line,
  LineBasicMaterial, LineDashedMaterial, LineSegments, Material, Mesh, MeshBasicMaterial, MeshLambertMaterial, Object3D, PerspectiveCamera, Quaternion,
  Raycaster, Scene, SphereGeometry, Vector2, Vector3, WebGLRenderer
} from "three";
import {OrbitControls} from "three/examples/jsm/controls/OrbitControls.js";
import type {Triangles} from "../file/model";
import type {Ink, MakeTurntable, Painted, Solid, TurntableView, Way} from "./view";
import type {Point} from "./vector";

const HEAD_RADIUS_M = 0.0875;
const vector = ([x, y, z]: Point) => new Vector3(x, y, z);

function lines(points: Point[], material: LineBasicMaterial): LineSegments {
  return new LineSegments(new BufferGeometry().setFromPoints(points.map(vector)), material);
}

/** The triangles of those surfaces that `shown` picks, each with corners of its own. */
function surfaceGeometry(triangles: Triangles, shown: (surface: number) => boolean, colour?: Float32Array): BufferGeometry {
  const position: number[] = [], colours: number[] = [];
  triangles.surfaceOf.forEach((surface, triangle) => {
    if (!shown(surface)) return;
    for (let corner = 0; corner < 3; ++corner) {
      const at = 3 * triangles.corners[3 * triangle + corner];
      position.push(triangles.vertex[at], triangles.vertex[at + 1], triangles.vertex[at + 2]);
      if (colour) colours.push(colour[at], colour[at + 1], colour[at + 2]);
    }
  });
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(new Float32Array(position), 3));
  if (colour) geometry.setAttribute("color", new BufferAttribute(new Float32Array(colours), 3));
  geometry.computeVertexNormals();
  return geometry;
}

class Turntable implements TurntableView {
  readonly element = document.createElement("div");
  private readonly renderer: WebGLRenderer;
  private readonly scene = new Scene();
  private readonly camera = new PerspectiveCamera(35, 1.5, 0.05, 100);
  private readonly controls: OrbitControls;
  private readonly labels = document.createElement("div");
  private readonly named: {object: Object3D; label: HTMLElement; what: "driver" | "seat"; index: number}[] = [];
  private readonly pickable: Mesh[] = [];
  private readonly drawnWays = new Group();
  private readonly drawnMap = new Group();
  private readonly drawnWalls = new Group();
  private readonly materials: {material: Material & {color: Color}; ink: keyof Ink}[] = [];
  private readonly middle: Vector3;
  private readonly reach: number;
  private readonly watcher: ResizeObserver;
  private now: Ink;
  private waiting = false;
  private looked: [number, number] | null = null;

  constructor(private readonly solid: Solid, ink: Ink, picked: (what: "driver" | "seat", index: number) => void) {
    this.now = ink;
    this.renderer = new WebGLRenderer({antialias: true, alpha: true, preserveDrawingBuffer: true});
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.element.className = "turntable";
    this.labels.className = "turntable-labels";
    this.labels.setAttribute("aria-hidden", "true");
    this.element.append(this.renderer.domElement, this.labels);
    this.camera.up.set(0, 0, 1);
    this.controls = new OrbitControls(this.camera, this.renderer.domElement);
    this.controls.addEventListener("change", () => this.draw());
    // Whoever has turned it keeps what they see when the window changes.
    this.controls.addEventListener("start", () => (this.looked = null));
    this.scene.add(new AmbientLight(0xffffff, 2.2), this.light(-2, -3, 6), this.drawnWalls, this.drawnWays, this.drawnMap);
    this.addWalls();
    this.addDrivers();
    this.addSeats();
    const bounds = new Box3().setFromObject(this.scene);
    this.middle = bounds.getCenter(new Vector3());
    this.reach = Math.max(bounds.getSize(new Vector3()).length(), 0.5);
    this.ink(ink);
    this.look(-35, 30);
    this.listenForPicks(picked);
    this.watcher = new ResizeObserver(() => this.fit());
    this.watcher.observe(this.element);
  }

  private light(x: number, y: number, z: number): DirectionalLight {
    const light = new DirectionalLight(0xffffff, 1.2);
    light.position.set(x, y, z);
    return light;
  }

  private coloured<M extends Material & {color: Color}>(material: M, ink: keyof Ink): M {
    this.materials.push({material, ink});
    return material;
  }

  private addWalls(): void {
    const {triangles, edges} = this.solid;
    if (triangles) {
      // Faces of a block are called block.face; everything else is the shell.
      const isBlock = (surface: number) => triangles.surfaces[surface].includes(".");
      const look = {side: FrontSide, transparent: true, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1};
      const shell = this.coloured(new MeshLambertMaterial({...look, opacity: 0.5, depthWrite: false}), "shell");
      const block = this.coloured(new MeshLambertMaterial({...look, opacity: 0.85}), "block");
      this.drawnWalls.add(new Mesh(surfaceGeometry(triangles, (surface) => !isBlock(surface)), shell));
      this.drawnWalls.add(new Mesh(surfaceGeometry(triangles, isBlock), block));
    }
    this.scene.add(lines(edges.flatMap(({from, to}) => [from, to]), this.coloured(new LineBasicMaterial({transparent: true, opacity: 0.5}), "edge")));
  }

  private name(object: Object3D, text: string, what: "driver" | "seat", index: number): void {
    const label = document.createElement("span");
    label.textContent = text;
    label.className = what;
    this.labels.append(label);
    this.named.push({object, label, what, index});
  }

  private addDrivers(): void {
    const body = this.coloured(new MeshLambertMaterial({side: DoubleSide}), "driver");
    this.solid.drivers.forEach(({name, at, axis, radius}, index) => {
      const piston = new Mesh(axis ? new CircleGeometry(radius, 32) : new SphereGeometry(radius, 16, 12), body);
      piston.position.copy(vector(at));
      if (axis) {
        const along = vector(axis).normalize();
        piston.position.addScaledVector(along, 0.004);
        piston.quaternion.copy(new Quaternion().setFromUnitVectors(new Vector3(0, 0, 1), along));
        const arrow = new Mesh(new ConeGeometry(0.012, 0.09, 10), body);
        arrow.position.copy(vector(at)).addScaledVector(along, 0.06);
        arrow.quaternion.copy(new Quaternion().setFromUnitVectors(new Vector3(0, 1, 0), along));
        this.scene.add(arrow);
      }
      piston.userData = {what: "driver", index};
      this.pickable.push(piston);
      this.scene.add(piston);
      this.name(piston, name, "driver", index);
    });
  }

  private addSeats(): void {
    const body = this.coloured(new MeshLambertMaterial({}), "seat");
    this.solid.seats.forEach(({name, ears}, index) => {
      const head = new Mesh(new SphereGeometry(HEAD_RADIUS_M, 24, 16), body);
      head.position.copy(vector(ears[0])).add(vector(ears[1])).multiplyScalar(0.5);
      head.userData = {what: "seat", index};
      this.pickable.push(head);
      this.scene.add(head);
      this.name(head, name, "seat", index);
    });
  }

  private listenForPicks(picked: (what: "driver" | "seat", index: number) => void): void {
    const caster = new Raycaster(), canvas = this.renderer.domElement;
    let pressedAt = [0, 0];
    canvas.addEventListener("pointerdown", (event) => (pressedAt = [event.clientX, event.clientY]));
    canvas.addEventListener("pointerup", (event) => {
      if (Math.hypot(event.clientX - pressedAt[0], event.clientY - pressedAt[1]) > 5) return;
      const box = canvas.getBoundingClientRect();
      caster.setFromCamera(new Vector2((2 * (event.clientX - box.left)) / box.width - 1, 1 - (2 * (event.clientY - box.top)) / box.height), this.camera);
      const [hit] = caster.intersectObjects(this.pickable);
      if (hit) picked(hit.object.userData.what, hit.object.userData.index);
    });
  }

  ink(ink: Ink): void {
    this.now = ink;
    for (const {material, ink: name} of this.materials) material.color.set(ink[name]);
    // At once: before printing there is no next picture.
    this.renderer.render(this.scene, this.camera);
    this.draw();
  }

  choose(driver: number, seat: number): void {
    for (const {label, what, index} of this.named) label.classList.toggle("chosen", index === (what === "driver" ? driver : seat));
    this.draw();
  }

  private empty(group: Group): void {
    for (const child of [...group.children]) {
      group.remove(child);
      const drawn = child as Mesh;
      drawn.geometry.dispose();
      (drawn.material as Material).dispose();
    }
  }

  ways(ways: Way[]): void {
    this.empty(this.drawnWays);
    for (const {corners, chosen, broken} of ways) {
      const look = {color: chosen ? this.now.chosen : this.now.other, depthTest: false, transparent: true, opacity: chosen ? 1 : 0.75};
      const material = broken ? new LineDashedMaterial({...look, dashSize: 0.03, gapSize: 0.03}) : new LineBasicMaterial(look);
      const way = new Line(new BufferGeometry().setFromPoints(corners.map(vector)), material);
      if (broken) way.computeLineDistances();
      way.renderOrder = chosen ? 3 : 2;
      this.drawnWays.add(way);
    }
    this.draw();
  }

  paint(painted: Painted | null): void {
    this.empty(this.drawnMap);
    this.drawnWalls.visible = painted === null;
    if (painted) {
      const {triangles, colour, shown} = painted;
      const level = triangles.surfaces.indexOf("ear height");
      const mesh = (pick: (surface: number) => boolean, side: typeof FrontSide | typeof DoubleSide) =>
        new Mesh(surfaceGeometry(triangles, pick, colour), new MeshBasicMaterial({vertexColors: true, side}));
      this.drawnMap.add(mesh((surface) => shown[surface] && surface !== level, FrontSide));
      this.drawnMap.add(mesh((surface) => shown[surface] && surface === level, DoubleSide));
    }
    this.draw();
  }

  look(round: number, above: number): void {
    this.looked = [round, above];
    const far = this.reach * 1.5 * Math.max(1, 1.25 / this.camera.aspect), a = (round * Math.PI) / 180, b = (Math.min(above, 89.9) * Math.PI) / 180;
    this.camera.position.set(this.middle.x + far * Math.cos(a) * Math.cos(b), this.middle.y + far * Math.sin(a) * Math.cos(b), this.middle.z + far * Math.sin(b));
    this.controls.target.copy(this.middle);
    this.controls.update();
    this.draw();
  }

  turn(round: number, above: number): void {
    this.looked = null;
    const way = this.camera.position.clone().sub(this.controls.target), far = way.length();
    const angle = Math.atan2(way.y, way.x) + (round * Math.PI) / 180;
    const high = Math.min(Math.max(Math.asin(way.z / far) + (above * Math.PI) / 180, -1.55), 1.55);
    this.camera.position.copy(this.controls.target).add(new Vector3(far * Math.cos(angle) * Math.cos(high), far * Math.sin(angle) * Math.cos(high), far * Math.sin(high)));
    this.controls.update();
    this.draw();
  }

  nearer(factor: number): void {
    this.looked = null;
    this.camera.position.sub(this.controls.target).divideScalar(factor).add(this.controls.target);
    this.controls.update();
    this.draw();
  }

  private fit(): void {
    const {clientWidth: width, clientHeight: height} = this.element;
    if (width === 0 || height === 0) return;
    this.renderer.setSize(width, height);
    this.camera.aspect = width / height;
    this.camera.updateProjectionMatrix();
    if (this.looked) this.look(...this.looked);
    this.draw();
  }

  private draw(): void {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => {
      this.waiting = false;
      this.renderer.render(this.scene, this.camera);
      const {clientWidth: width, clientHeight: height} = this.element;
      for (const {object, label} of this.named) {
        const at = object.position.clone().project(this.camera);
        label.style.transform = `translate(${((at.x + 1) / 2) * width + 8}px, ${((1 - at.y) / 2) * height - 8}px)`;
        label.hidden = at.z > 1;
      }
    });
  }

  dispose(): void {
    this.watcher.disconnect();
    this.controls.dispose();
    this.renderer.dispose();
  }
}

const make: MakeTurntable = (solid, ink, picked) => new Turntable(solid, ink, picked);
(globalThis as unknown as {cabinfieldTurntable: MakeTurntable}).cabinfieldTurntable = make;
