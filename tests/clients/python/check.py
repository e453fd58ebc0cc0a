"""The server as a stranger's program sees it: answers, errors, reflection, health, many callers, a killed server."""
import contextlib
import concurrent.futures
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time

import grpc
from etics.v1 import catalogue_pb2, catalogue_pb2_grpc, common_pb2, estimate_pb2, estimate_pb2_grpc
from etics.v1 import fixing_pb2, fixing_pb2_grpc, physics_pb2, physics_pb2_grpc, takeoff_pb2, takeoff_pb2_grpc
from etics.v1 import thermal_pb2, thermal_pb2_grpc
from google.protobuf.descriptor_pool import DescriptorPool
from google.rpc import error_details_pb2
from grpc_health.v1 import health_pb2, health_pb2_grpc
from grpc_reflection.v1alpha.proto_reflection_descriptor_database import ProtoReflectionDescriptorDatabase
from grpc_status import rpc_status

import survey

ROOT = os.environ["ETICS_ROOT"]
SURVEYS = {name: os.path.join(ROOT, "tests", "surveys", f"{name}.toml") for name in ("house", "flats", "short")}
CALLERS = 200


def free_port():
    with contextlib.closing(socket.socket()) as taken:
        taken.bind(("127.0.0.1", 0))
        return taken.getsockname()[1]


class Server:
    """A server of our own on a free port of this machine."""

    def __init__(self, cache="", **settings):
        self.address = f"127.0.0.1:{free_port()}"
        environment = dict(os.environ, ETICS_SERVER_LISTEN=self.address, ETICS_CACHE_FOLDER=cache,
                           ETICS_DRAIN_DELAY_MS="100", ETICS_DRAIN_TIMEOUT_MS="3000", **settings)
        self.log = tempfile.TemporaryFile()
        self.process = subprocess.Popen([os.environ["ETICS_SERVER_BIN"], "serve"], env=environment, stderr=self.log)
        deadline = time.monotonic() + 20
        while time.monotonic() < deadline:
            with contextlib.suppress(OSError), contextlib.closing(socket.create_connection(self.place(), 1)):
                return
            time.sleep(0.05)
        raise AssertionError("the server does not come up: " + self.said())

    def place(self):
        host, port = self.address.split(":")
        return host, int(port)

    def said(self):
        self.log.seek(0)
        return self.log.read().decode(errors="replace")

    def kill(self):
        self.process.kill()
        self.process.wait()

    def __enter__(self):
        return self

    def __exit__(self, *_):
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
            assert self.process.wait(timeout=15) == 0, self.said()
        text = self.said()
        assert "panicked" not in text, text


def connect(address):
    return grpc.insecure_channel(address, options=[("grpc.max_receive_message_length", 16 << 20)])


def raw(channel, method="/etics.v1.EstimateService/Estimate"):
    """A call whose answer comes back as the bytes that were sent."""
    return channel.unary_unary(method, request_serializer=lambda m: m.SerializeToString(), response_deserializer=bytes)


def details(error):
    found = {}
    for detail in rpc_status.from_call(error).details:
        for kind in (error_details_pb2.BadRequest, error_details_pb2.ErrorInfo, error_details_pb2.ResourceInfo,
                     error_details_pb2.PreconditionFailure, error_details_pb2.RetryInfo):
            message = kind()
            if detail.Unpack(message):
                found[kind.__name__] = message
    return found


def refused(call, message, code, reason):
    try:
        call(message, timeout=30)
    except grpc.RpcError as error:
        assert error.code() == code, (error.code(), error.details())
        found = details(error)
        assert found["ErrorInfo"].reason == reason, found
        assert found["ErrorInfo"].domain == "etics.v1"
        return found
    raise AssertionError("it was answered")


def check_health(channel):
    health = health_pb2_grpc.HealthStub(channel)
    for name in ("", "etics.v1.EstimateService", "etics.v1.CatalogueService"):
        answer = health.Check(health_pb2.HealthCheckRequest(service=name), timeout=5)
        assert answer.status == health_pb2.HealthCheckResponse.SERVING, name


def check_reflection(channel):
    database = ProtoReflectionDescriptorDatabase(channel)
    assert "etics.v1.EstimateService" in database.get_services()
    service = DescriptorPool(database).FindServiceByName("etics.v1.EstimateService")
    assert "Estimate" in service.methods_by_name
    assert service.methods_by_name["Estimate"].input_type.fields_by_name["tax_share"]


def enough(lines):
    """What is bought of an article holds what is needed of it; bars of two lengths are two lines of one need."""
    bought, needed = {}, {}
    for line in lines:
        key = (line.article, line.purpose, line.unit) if line.unit == "m" else (line.article, line.size, line.purpose)
        bought[key] = bought.get(key, 0) + line.packs * line.pack_content
        needed[key] = needed.get(key, 0) + line.net + line.waste
    return all(bought[key] + 1e-6 >= needed[key] for key in needed)


def check_estimates(channel):
    stub = estimate_pb2_grpc.EstimateServiceStub(channel)
    for name, path in SURVEYS.items():
        asked = survey.request(path)
        answer = stub.Estimate(asked, timeout=60)
        assert answer.reference == asked.reference
        assert answer.provenance.engine_version and answer.provenance.catalogue == "generic"
        assert answer.provenance.catalogue_revision
        assert answer.system.thickness_mm > 0, name
        assert 0 < answer.thermal.u_after_w_per_m2k < answer.thermal.u_before_w_per_m2k
        lines = answer.kit.lines
        assert len(lines) > 10 and enough(lines), name
        assumed = {a.path for a in answer.assumptions}
        assert {"wind.orography_factor", "wind.loaded_area_m2"} <= assumed
        assert ("building.storeys" in assumed) == (name == "short"), assumed
        assert not answer.HasField("sheet") and not answer.layout.pieces
        asked.include.CopyFrom(common_pb2.Include(setting_out=True, working=True))
        whole = stub.Estimate(asked, timeout=60)
        assert whole.sheet.lines and whole.layout.pieces
        assert [l.packs for l in whole.kit.lines] == [l.packs for l in lines]
        print(f"  {name}: {answer.system.name}, {answer.system.thickness_mm} mm, {len(lines)} lines, "
              f"{answer.kit.net_price.amount} {answer.kit.net_price.currency}, {len(whole.sheet.lines)} sheet lines")


def check_parts(channel):
    whole = survey.request(SURVEYS["house"])
    common = dict(system=whole.system, thickness=whole.thickness, wind=whole.wind, building=whole.building)
    estimate = estimate_pb2_grpc.EstimateServiceStub(channel).Estimate(whole, timeout=60)
    thermal = thermal_pb2_grpc.ThermalServiceStub(channel).Assess(
        thermal_pb2.AssessRequest(climate=whole.climate, **common), timeout=60)
    assert thermal.thermal.u_after_w_per_m2k == estimate.thermal.u_after_w_per_m2k
    fixing = fixing_pb2_grpc.FixingServiceStub(channel).Design(fixing_pb2.DesignRequest(**common), timeout=60)
    assert fixing.fixing.count == estimate.fixing.count
    takeoff = takeoff_pb2_grpc.TakeoffServiceStub(channel).TakeOff(
        takeoff_pb2.TakeOffRequest(tax_share=whole.tax_share, **common), timeout=60)
    assert [(l.article, l.packs) for l in takeoff.kit.lines] == [(l.article, l.packs) for l in estimate.kit.lines]


def physics(name, message):
    return survey.read(os.path.join(ROOT, "tests", "surveys", "physics", f"{name}.toml"), message)


def hours(celsius):
    """A year of hourly weather as a text in the EPW format, the same temperature all year."""
    lines = ["LOCATION,Somewhere,-,-,made up,0,50.0,10.0,1.0,200.0", "DATA PERIODS,1,1,Data,Sunday,1/1,12/31"]
    for month, days in enumerate([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31], 1):
        for day in range(1, days + 1):
            for hour in range(1, 25):
                fields = ["0"] * 35
                fields[0:4] = ["2001", str(month), str(day), str(hour)]
                fields[6], fields[8], fields[9], fields[20], fields[21] = str(celsius), "80", "101325", "270", "4.5"
                lines.append(",".join(fields))
    return lines


def near(found, expected, tolerance):
    assert abs(found - expected) <= tolerance, (found, expected)


def check_physics(channel):
    """The single questions of building physics against published numbers and arithmetic."""
    stub = physics_pb2_grpc.PhysicsServiceStub(channel)
    drawn = common_pb2.Include(drawings=True)
    details = stub.ListDetails(physics_pb2.ListDetailsRequest(), timeout=10).details
    assert {"reveal"} <= {detail.key for detail in details}
    # Scottish Government technical handbook, example 6.B.2.
    near(stub.Wall(physics("wall-timber", physics_pb2.WallRequest()), timeout=30).u_w_per_m2k, 0.297, 0.0005)
    asked = physics("wall", physics_pb2.WallRequest(include=drawn))
    wall = stub.Wall(asked, timeout=30)
    near(wall.u_corrected_w_per_m2k, 0.238682, 1e-6)
    assert [d.name for d in wall.drawings] == ["wall-profile.svg", "condensate.svg"]
    # ISO 10211:2017, case 2.
    near(stub.Bridge(physics("bridge-metal", physics_pb2.BridgeRequest()), timeout=60).flows[0].flow_w_per_m, 9.5, 0.1)
    swing = stub.Dynamics(physics("dynamics-brick-boards", physics_pb2.DynamicsRequest(include=drawn)), timeout=30)
    near(swing.decrement_share, 0.10838, 2e-5)
    assert swing.drawings
    economy = stub.Economy(physics("economy", physics_pb2.EconomyRequest(anchors_per_m2=6)), timeout=30)
    assert economy.best_thickness_mm and all(p.anchor_cost_per_m2 > 0 for p in economy.curve)
    saving = physics("saving", physics_pb2.SavingRequest(include=drawn))
    near(stub.Saving(saving, timeout=30).energy_kwh.value, 244 * 84 / 0.9, 1e-6)
    weather = hours(5)
    saving.terms.weather.epw_text = "\n".join(weather)
    near(stub.Saving(saving, timeout=30).degree_days, 365 * 15, 1e-6)
    drying = stub.Drying(physics("drying-materials", physics_pb2.DryingRequest(years=1)), timeout=120)
    assert len(drying.results) == 3 and "dry after" in drying.answer
    assert any(f.code == "HYGRIC_DATA_UNVERIFIED" for f in drying.findings)
    print(f"  {drying.answer.split('. ')[0]}")

    def told(call, request, code=grpc.StatusCode.INVALID_ARGUMENT, reason="BAD_REQUEST"):
        return {(v.field, v.reason) for v in refused(call, request, code, reason)["BadRequest"].field_violations}

    # Every fault of a bad wall at once, a climate with eleven months among them.
    for month in range(11):
        asked.climate.months.months.add(outdoor_celsius=month, humidity_share=0.8)
    brick, board, render = asked.layers
    brick.thickness_mm = 0
    render.vapour_resistance_factor = 0.5
    timber = physics_pb2.BuildUpLayer(name="timber", thickness_mm=100)
    timber.sections.add(area_share=0.8, conductivity_w_per_mk=0, vapour_resistance_factor=1)
    cavity = physics_pb2.BuildUpLayer(name="cavity", thickness_mm=40, openings_mm2_per_m=2000)
    layers = [brick, timber, cavity, board, render]
    bad = physics_pb2.WallRequest(climate=asked.climate, layers=layers)
    assert told(stub.Wall, bad) == {
        ("layers[0].thickness_mm", "OUT_OF_RANGE"),
        ("layers[1].sections", "SHARES_NOT_ONE"),
        ("layers[1].sections[0].conductivity_w_per_mk", "OUT_OF_RANGE"),
        ("layers[2].openings_mm2_per_m", "VENTILATED_INSIDE_INSULATION"),
        ("layers[4].vapour_resistance_factor", "OUT_OF_RANGE"),
        ("climate.months.months", "NOT_TWELVE_MONTHS"),
    }, told(stub.Wall, bad)
    weather[7] = weather[7].replace(",80,", ",999,")
    saving.terms.weather.epw_text = "\n".join(weather)
    saving.terms.efficiency = 0
    assert told(stub.Saving, saving) == {
        ("terms.efficiency", "OUT_OF_RANGE"),
        ("terms.weather.epw_text.line[8].relative_humidity_percent", "MISSING"),
    }, told(stub.Saving, saving)
    unknown = physics("economy", physics_pb2.EconomyRequest())
    unknown.system = "eps-wite"
    unknown.layers[0].conductivity_w_per_mk = -1
    found = told(stub.Economy, unknown, grpc.StatusCode.NOT_FOUND, "UNKNOWN_NAME")
    assert found == {("system", "UNKNOWN_NAME"), ("layers[0].conductivity_w_per_mk", "OUT_OF_RANGE")}, found


def check_catalogue(channel):
    stub = catalogue_pb2_grpc.CatalogueServiceStub(channel)
    systems = stub.ListSystems(catalogue_pb2.ListSystemsRequest(), timeout=10).systems
    assert {"eps-white", "mineral-wool"} <= {system.key for system in systems}
    boards = stub.ListArticles(catalogue_pb2.ListArticlesRequest(kind="board"), timeout=10)
    assert boards.articles and all(article.key.startswith("board.") for article in boards.articles)
    assert "generic" in boards.branches
    article = stub.GetArticle(catalogue_pb2.GetArticleRequest(key="board.eps-white"), timeout=10)
    assert any(p.name.startswith("conductivity") for p in article.properties)
    found = refused(stub.GetArticle, catalogue_pb2.GetArticleRequest(key="board.eps-wite"), grpc.StatusCode.NOT_FOUND, "UNKNOWN_NAME")
    assert "board.eps-white" in found["ResourceInfo"].description
    bad = catalogue_pb2.CatalogueFile(path="town/catalogue.toml", text="format = 1\n[catalogue]\nnam = \"town\"\n")
    faults = stub.Check(catalogue_pb2.CheckRequest(files=[bad]), timeout=10).faults
    assert any(fault.line == 3 and "^" in fault.rendered for fault in faults), faults


def check_errors(channel):
    stub = estimate_pb2_grpc.EstimateServiceStub(channel)
    bad = survey.request(SURVEYS["house"])
    bad.tax_share = "a fifth"
    bad.building.facades[0].openings[2].width_mm = -1
    bad.building.facades[1].openings[0].x_mm = 20_000
    bad.building.substrate.layers[1].conductivity_w_per_mk = float("nan")
    found = refused(stub.Estimate, bad, grpc.StatusCode.INVALID_ARGUMENT, "BAD_REQUEST")
    told = {(v.field, v.reason) for v in found["BadRequest"].field_violations}
    assert told >= {
        ("tax_share", "NOT_A_DECIMAL"),
        ("building.facades[0].openings[2].width_mm", "OUT_OF_RANGE"),
        ("building.facades[1].openings[0]", "OPENING_OUTSIDE"),
        ("building.substrate.layers[1].conductivity_w_per_mk", "NOT_FINITE"),
    }, told
    empty = refused(stub.Estimate, estimate_pb2.EstimateRequest(), grpc.StatusCode.INVALID_ARGUMENT, "BAD_REQUEST")
    assert {"building", "system", "thickness", "wind"} <= {v.field for v in empty["BadRequest"].field_violations}
    unknown = survey.request(SURVEYS["house"])
    unknown.system = "eps-wite"
    found = refused(stub.Estimate, unknown, grpc.StatusCode.NOT_FOUND, "UNKNOWN_NAME")
    assert "eps-white" in found["ResourceInfo"].description, found
    unknown = survey.request(SURVEYS["house"])
    unknown.branch = "nort-branch"
    found = refused(stub.Estimate, unknown, grpc.StatusCode.NOT_FOUND, "UNKNOWN_NAME")
    assert "north-branch" in found["ResourceInfo"].description, found
    large = estimate_pb2.EstimateRequest(reference="x" * (5 << 20))
    refused(stub.Estimate, large, grpc.StatusCode.RESOURCE_EXHAUSTED, "MESSAGE_TOO_LARGE")
    late = survey.request(SURVEYS["flats"])
    late.reference = "late"
    try:
        stub.Estimate(late, timeout=0.000001)
        raise AssertionError("it was answered")
    except grpc.RpcError as error:
        assert error.code() == grpc.StatusCode.DEADLINE_EXCEEDED, error


def variants():
    """Requests that differ, so that not all come from the cache."""
    asked = []
    for n in range(CALLERS):
        message = survey.request(SURVEYS["short" if n % 10 else ("house", "flats")[n // 10 % 2]])
        message.reference = f"caller {n % 50}"
        asked.append(message)
    return asked


def check_many():
    """All at once on a cold server; the right bytes are those of another server, one call after the other, without a cache."""
    asked = variants()
    gate = threading.Barrier(CALLERS)
    with Server() as server:
        channels = [connect(server.address) for _ in range(20)]

        def call(n):
            gate.wait()
            return raw(channels[n % 20])(asked[n], timeout=120)

        begun = time.monotonic()
        with concurrent.futures.ThreadPoolExecutor(CALLERS) as callers:
            answers = list(callers.map(call, range(CALLERS)))
        took = time.monotonic() - begun
        for channel in channels:
            channel.close()
    with Server(ETICS_CACHE_RAM_BYTES="0") as server, connect(server.address) as channel:
        assert answers == [raw(channel)(message, timeout=120) for message in asked]
    print(f"  {CALLERS} callers at once, each with the right bytes, in {took:.2f} s")


def check_busy():
    """A server that takes on one unit of work refuses the rest with a time to retry, and its health is exempt."""
    with Server(ETICS_LIMITS_WORK_UNITS="1", ETICS_LIMITS_CPU_THREADS="1", ETICS_CACHE_RAM_BYTES="0") as server:
        asked = variants()
        with connect(server.address) as channel:
            check_health(channel)
            calls = [raw(channel).future(message, timeout=60) for message in asked]
            check_health(channel)
            codes = [call.code() for call in calls]
            assert set(codes) <= {grpc.StatusCode.OK, grpc.StatusCode.RESOURCE_EXHAUSTED}, set(codes)
            refusals = [call for call in calls if call.code() == grpc.StatusCode.RESOURCE_EXHAUSTED]
            assert refusals and grpc.StatusCode.OK in codes
            found = details(refusals[0])
            assert found["ErrorInfo"].reason == "OVERLOADED" and found["RetryInfo"].retry_delay.nanos
            print(f"  {len(refusals)} of {len(calls)} calls were told to come back later")


def check_killed():
    cache = tempfile.mkdtemp(prefix="etics-cache-")
    try:
        asked = variants()[:60]
        with Server(cache=cache) as server, connect(server.address) as channel:
            expected = [raw(channel)(message, timeout=120) for message in asked]
        for round_ in range(3):
            with Server(cache=cache) as server, connect(server.address) as channel:
                calls = [raw(channel).future(message, timeout=60) for message in variants()]
                time.sleep(0.05 + 0.2 * round_)
                server.kill()
                for call in calls:
                    with contextlib.suppress(grpc.RpcError):
                        call.result()
        with Server(cache=cache) as server, connect(server.address) as channel:
            assert [raw(channel)(message, timeout=120) for message in asked] == expected
        with Server() as server, connect(server.address) as channel:
            assert [raw(channel)(message, timeout=120) for message in asked] == expected
        print("  killed three times under load; the same bytes afterwards, from cache and without one")
        with Server(cache=cache) as first, Server(cache=cache) as second:
            for server in (first, second):
                with connect(server.address) as channel:
                    assert raw(channel)(asked[0], timeout=60) == expected[0]
    finally:
        shutil.rmtree(cache, ignore_errors=True)


def check_drain():
    """A client that says nothing after it has connected does not keep the server from going down."""
    server = Server()
    silent = socket.create_connection(server.place())
    silent.sendall(b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n\x00\x00\x00\x04\x00\x00\x00\x00\x00")
    time.sleep(0.2)
    begun = time.monotonic()
    server.process.send_signal(signal.SIGTERM)
    assert server.process.wait(timeout=10) == 0
    silent.close()
    print(f"  down in {time.monotonic() - begun:.1f} s with a silent client")


def check_command_line(address):
    """The command line gives the same answer with a server and without one."""
    program = os.environ.get("ETICS_BIN")
    if not program:
        return
    for name, path in SURVEYS.items():
        for form in (["--json", "--working", "--setting-out"], []):
            here = subprocess.run([program, "estimate", path, *form], capture_output=True, check=True).stdout
            there = subprocess.run([program, "estimate", path, *form, "--server", address], capture_output=True, check=True).stdout
            assert here == there and here, name
            assert form or max(map(len, here.decode().splitlines())) <= 120, name
    for kind, name in (("wall", "wall"), ("bridge", "bridge-reveal"), ("dynamics", "dynamics-concrete"), ("saving", "saving")):
        path = os.path.join(ROOT, "tests", "surveys", "physics", f"{name}.toml")
        here = subprocess.run([program, kind, path, "--json"], capture_output=True, check=True).stdout
        there = subprocess.run([program, kind, path, "--json", "--server", address], capture_output=True, check=True).stdout
        assert here == there and here, name
    gone = subprocess.run([program, "estimate", "nowhere.toml"], capture_output=True)
    assert gone.returncode == 2, gone


def check_quote(address):
    quote = subprocess.run([sys.executable, os.path.join(os.path.dirname(__file__), "erp_quote.py"), address],
                           capture_output=True, text=True, check=True)
    assert "with tax" in quote.stdout, quote.stdout


def step(name, check, *arguments):
    print(name, flush=True)
    check(*arguments)


def main(only):
    if address := os.environ.get("ETICS_TEST_SERVER"):
        with connect(address) as channel:
            step("health", check_health, channel)
            step("estimates", check_estimates, channel)
            step("quote", check_quote, address)
        return
    with Server() as server, connect(server.address) as channel:
        step("health", check_health, channel)
        step("reflection", check_reflection, channel)
        step("estimates", check_estimates, channel)
        step("parts", check_parts, channel)
        step("physics", check_physics, channel)
        step("catalogue", check_catalogue, channel)
        step("errors", check_errors, channel)
        step("quote", check_quote, server.address)
        step("command line", check_command_line, server.address)
    step("many callers", check_many)
    step("busy", check_busy)
    step("killed", check_killed)
    step("drain", check_drain)
    print("all hold")


main(sys.argv[1:])
