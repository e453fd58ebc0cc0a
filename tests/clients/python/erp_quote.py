"""Asks the estimating service for a quote of one facade and prints what to order."""
import sys

import grpc
from etics.v1 import estimate_pb2, estimate_pb2_grpc, facade_pb2

service = estimate_pb2_grpc.EstimateServiceStub(grpc.insecure_channel(sys.argv[1]))
request = estimate_pb2.EstimateRequest(
    reference="order 4711",
    branch="north-branch",
    short=facade_pb2.ShortForm(length_mm=10_000, height_mm=6_000, opening_count=4,
                               opening_width_mm=1_200, opening_height_mm=1_400),
    system="eps-white",
    thickness=facade_pb2.Thickness(transmittance_at_most_w_per_m2k=0.24),
    tax_share="0.20",
)
try:
    answer = service.Estimate(request, timeout=10)
except grpc.RpcError as error:
    sys.exit(f"{error.code().name}: {error.details()}")
print(f"{answer.system.name}, {answer.system.thickness_mm} mm, U = {answer.thermal.u_after_w_per_m2k:.2f} W/(m2.K)")
for line in answer.kit.lines:
    print(f"{line.packs:5} {line.pack_name:10} {line.name:45.45} {line.size:10} {line.total.amount:>10}")
print(f"net {answer.kit.net_price.amount}, with tax {answer.kit.gross_price.amount} {answer.kit.gross_price.currency}")
for assumed in answer.assumptions:
    print(f"assumed: {assumed.text}")
