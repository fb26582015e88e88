// The 3-D view of the cabin: walls are drawn from the inside only, so that the near ones do not hide the cabin.
import {
  AmbientLight, Box3, BufferAttribute, BufferGeometry, CircleGeometry, Color, ConeGeometry, DirectionalLight, DoubleSide, FrontSide, Group, Line,
  LineBasicMaterial, LineDashedMaterial, LineSegments, Material, Mesh, MeshBasicMaterial, MeshLambertMaterial, Object3D, PerspectiveCamera, Quaternion,
  Raycaster, Scene, SphereGeometry, Vector2, Vector3, WebGLRenderer
} from "three";
import {OrbitControls} from "three/examples/jsm/controls/OrbitControls.js";
import type {Triangles} from "../file/model";
import type {ColouredSurfaces, Ink, MakeRenderer3d, Renderer3d, Solid, SoundPath} from "./view_3d_types";
import type {Point} from "./vector";

const HEAD_RADIUS_M = 0.0875;
const vector = ([x, y, z]: Point) => new Vector3(x, y, z);

function lines(points: Point[], material: LineBasicMaterial): LineSegments {
  return new LineSegments(new BufferGeometry().setFromPoints(points.map(vector)), material);
}

/** The triangles of the surfaces for which `shown` is true; no corner is shared. */
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

class ThreeRenderer implements Renderer3d {
  readonly element = document.createElement("div");
  private readonly renderer: WebGLRenderer;
  private readonly scene = new Scene();
  private readonly camera = new PerspectiveCamera(35, 1.5, 0.05, 100);
  private readonly controls: OrbitControls;
  private readonly labels = document.createElement("div");
  private readonly named: {object: Object3D; label: HTMLElement; what: "driver" | "seat"; index: number}[] = [];
  private readonly pickable: Mesh[] = [];
  private readonly pathGroup = new Group();
  private readonly mapGroup = new Group();
  private readonly wallGroup = new Group();
  private readonly materials: {material: Material & {color: Color}; ink: keyof Ink}[] = [];
  private readonly middle: Vector3;
  private readonly reach: number;
  private readonly watcher: ResizeObserver;
  private currentInk: Ink;
  private framePending = false;
  private fixedView: [number, number] | null = null;

  constructor(private readonly solid: Solid, ink: Ink, picked: (what: "driver" | "seat", index: number) => void) {
    this.currentInk = ink;
    this.renderer = new WebGLRenderer({antialias: true, alpha: true, preserveDrawingBuffer: true});
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.element.className = "view-3d";
    this.labels.className = "view-3d-labels";
    this.labels.setAttribute("aria-hidden", "true");
    this.element.append(this.renderer.domElement, this.labels);
    this.camera.up.set(0, 0, 1);
    this.controls = new OrbitControls(this.camera, this.renderer.domElement);
    this.controls.addEventListener("change", () => this.draw());
    // After the reader has turned the view, a change of window size keeps their viewing direction.
    this.controls.addEventListener("start", () => (this.fixedView = null));
    this.scene.add(new AmbientLight(0xffffff, 2.2), this.light(-2, -3, 6), this.wallGroup, this.pathGroup, this.mapGroup);
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
      // A face of a block is called block.face; every other surface belongs to the shell.
      const isBlock = (surface: number) => triangles.surfaces[surface].includes(".");
      const look = {side: FrontSide, transparent: true, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1};
      const shell = this.coloured(new MeshLambertMaterial({...look, opacity: 0.5, depthWrite: false}), "shell");
      const block = this.coloured(new MeshLambertMaterial({...look, opacity: 0.85}), "block");
      this.wallGroup.add(new Mesh(surfaceGeometry(triangles, (surface) => !isBlock(surface)), shell));
      this.wallGroup.add(new Mesh(surfaceGeometry(triangles, isBlock), block));
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
    this.currentInk = ink;
    for (const {material, ink: name} of this.materials) material.color.set(ink[name]);
    // Draw at once: before printing there is no next frame.
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

  paths(paths: SoundPath[]): void {
    this.empty(this.pathGroup);
    for (const {corners, selected, dashed} of paths) {
      const look = {color: selected ? this.currentInk.selectedPath : this.currentInk.otherPath, depthTest: false, transparent: true, opacity: selected ? 1 : 0.75};
      const material = dashed ? new LineDashedMaterial({...look, dashSize: 0.03, gapSize: 0.03}) : new LineBasicMaterial(look);
      const path = new Line(new BufferGeometry().setFromPoints(corners.map(vector)), material);
      if (dashed) path.computeLineDistances();
      path.renderOrder = selected ? 3 : 2;
      this.pathGroup.add(path);
    }
    this.draw();
  }

  colour(surfaces: ColouredSurfaces | null): void {
    this.empty(this.mapGroup);
    this.wallGroup.visible = surfaces === null;
    if (surfaces) {
      const {triangles, colour, shown} = surfaces;
      const earHeight = triangles.surfaces.indexOf("ear height");
      const mesh = (pick: (surface: number) => boolean, side: typeof FrontSide | typeof DoubleSide) =>
        new Mesh(surfaceGeometry(triangles, pick, colour), new MeshBasicMaterial({vertexColors: true, side}));
      this.mapGroup.add(mesh((surface) => shown[surface] && surface !== earHeight, FrontSide));
      this.mapGroup.add(mesh((surface) => shown[surface] && surface === earHeight, DoubleSide));
    }
    this.draw();
  }

  look(azimuth: number, elevation: number): void {
    this.fixedView = [azimuth, elevation];
    const far = this.reach * 1.5 * Math.max(1, 1.25 / this.camera.aspect), a = (azimuth * Math.PI) / 180, b = (Math.min(elevation, 89.9) * Math.PI) / 180;
    this.camera.position.set(this.middle.x + far * Math.cos(a) * Math.cos(b), this.middle.y + far * Math.sin(a) * Math.cos(b), this.middle.z + far * Math.sin(b));
    this.controls.target.copy(this.middle);
    this.controls.update();
    this.draw();
  }

  turn(azimuth: number, elevation: number): void {
    this.fixedView = null;
    const offset = this.camera.position.clone().sub(this.controls.target), far = offset.length();
    const angle = Math.atan2(offset.y, offset.x) + (azimuth * Math.PI) / 180;
    const high = Math.min(Math.max(Math.asin(offset.z / far) + (elevation * Math.PI) / 180, -1.55), 1.55);
    this.camera.position.copy(this.controls.target).add(new Vector3(far * Math.cos(angle) * Math.cos(high), far * Math.sin(angle) * Math.cos(high), far * Math.sin(high)));
    this.controls.update();
    this.draw();
  }

  zoom(factor: number): void {
    this.fixedView = null;
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
    if (this.fixedView) this.look(...this.fixedView);
    this.draw();
  }

  private draw(): void {
    if (this.framePending) return;
    this.framePending = true;
    requestAnimationFrame(() => {
      this.framePending = false;
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

const make: MakeRenderer3d = (solid, ink, picked) => new ThreeRenderer(solid, ink, picked);
(globalThis as unknown as {cabinfieldRenderer: MakeRenderer3d}).cabinfieldRenderer = make;
