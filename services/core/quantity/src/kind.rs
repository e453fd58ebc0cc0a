//! The kinds of quantity: one newtype each, one SI unit inside, named constructors and readers.

/// What every kind of quantity offers to the calculation sheet.
pub trait Quantity: Copy + 'static {
    /// The kind in words, such as `thermal resistance`.
    const KIND: &'static str;
    /// The unit of the number inside, such as `m2K/W`.
    const UNIT: &'static str;
    /// The number in [`Self::UNIT`].
    fn si(self) -> f64;
    /// The quantity whose number in [`Self::UNIT`] is `number`.
    fn from_si(number: f64) -> Self;
}

impl Quantity for f64 {
    const KIND: &'static str = "number";
    const UNIT: &'static str = "1";
    fn si(self) -> f64 {
        self
    }
    fn from_si(number: f64) -> Self {
        number
    }
}

macro_rules! kinds {
    ($( $(#[$doc:meta])* $name:ident($kind:literal, $unit:literal) { $( $from:ident / $read:ident = $factor:literal $label:literal ),* $(,)? } )*) => { $(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// Zero of this kind.
            pub const ZERO: Self = Self(0.0);
            $(
                #[doc = concat!("From a number of ", $label, ".")]
                pub const fn $from(number: f64) -> Self { Self(number * $factor) }
                #[doc = concat!("As a number of ", $label, ".")]
                pub const fn $read(self) -> f64 { self.0 / $factor }
            )*
            /// The smaller of two; a NaN on the left gives the right one.
            #[must_use]
            pub fn min(self, other: Self) -> Self { Self(libm::fmin(self.0, other.0)) }
            /// The larger of two; a NaN on the left gives the right one.
            #[must_use]
            pub fn max(self, other: Self) -> Self { Self(libm::fmax(self.0, other.0)) }
            /// The distance from zero.
            #[must_use]
            pub fn abs(self) -> Self { Self(libm::fabs(self.0)) }
            /// Neither infinite nor NaN.
            pub fn is_finite(self) -> bool { self.0.is_finite() }
        }
        impl Quantity for $name {
            const KIND: &'static str = $kind;
            const UNIT: &'static str = $unit;
            fn si(self) -> f64 { self.0 }
            fn from_si(number: f64) -> Self { Self(number) }
        }
        impl core::ops::Add for $name { type Output = Self; fn add(self, o: Self) -> Self { Self(self.0 + o.0) } }
        impl core::ops::Sub for $name { type Output = Self; fn sub(self, o: Self) -> Self { Self(self.0 - o.0) } }
        impl core::ops::Neg for $name { type Output = Self; fn neg(self) -> Self { Self(-self.0) } }
        impl core::ops::AddAssign for $name { fn add_assign(&mut self, o: Self) { self.0 += o.0; } }
        impl core::ops::Mul<f64> for $name { type Output = Self; fn mul(self, o: f64) -> Self { Self(self.0 * o) } }
        impl core::ops::Mul<$name> for f64 { type Output = $name; fn mul(self, o: $name) -> $name { $name(self * o.0) } }
        impl core::ops::Div<f64> for $name { type Output = Self; fn div(self, o: f64) -> Self { Self(self.0 / o) } }
        impl core::ops::Div for $name { type Output = f64; fn div(self, o: Self) -> f64 { self.0 / o.0 } }
        impl core::iter::Sum for $name { fn sum<I: Iterator<Item = Self>>(i: I) -> Self { Self(i.map(|q| q.0).sum()) } }
    )* };
}

kinds! {
    /// A length or thickness.
    Length("length", "m") { from_m / as_m = 1.0 "metres", from_mm / as_mm = 1e-3 "millimetres" }
    /// An area.
    Area("area", "m2") { from_m2 / as_m2 = 1.0 "square metres", from_mm2 / as_mm2 = 1e-6 "square millimetres" }
    /// A volume.
    Volume("volume", "m3") { from_m3 / as_m3 = 1.0 "cubic metres", from_litres / as_litres = 1e-3 "litres" }
    /// A mass.
    Mass("mass", "kg") { from_kg / as_kg = 1.0 "kilograms" }
    /// A mass spread over an area.
    AreaMass("mass per area", "kg/m2") { from_kg_per_m2 / as_kg_per_m2 = 1.0 "kilograms per square metre" }
    /// A density.
    Density("density", "kg/m3") { from_kg_per_m3 / as_kg_per_m3 = 1.0 "kilograms per cubic metre" }
    /// A temperature on the Celsius scale. The number inside is degrees Celsius, as in the building-physics standards.
    Temperature("temperature", "degC") { from_celsius / as_celsius = 1.0 "degrees Celsius" }
    /// A difference of temperatures.
    TemperatureDifference("temperature difference", "K") { from_kelvin / as_kelvin = 1.0 "kelvins" }
    /// A thermal conductivity.
    Conductivity("thermal conductivity", "W/(m.K)") { from_w_per_mk / as_w_per_mk = 1.0 "watts per metre kelvin" }
    /// A thermal resistance of a square metre.
    ThermalResistance("thermal resistance", "m2.K/W") { from_m2k_per_w / as_m2k_per_w = 1.0 "square metre kelvins per watt" }
    /// A thermal transmittance (U-value), or a surface coefficient of heat transfer.
    Transmittance("thermal transmittance", "W/(m2.K)") { from_w_per_m2k / as_w_per_m2k = 1.0 "watts per square metre kelvin" }
    /// A linear thermal transmittance.
    LinearTransmittance("linear thermal transmittance", "W/(m.K)") { from_w_per_mk / as_w_per_mk = 1.0 "watts per metre kelvin" }
    /// A point thermal transmittance.
    PointTransmittance("point thermal transmittance", "W/K") { from_w_per_k / as_w_per_k = 1.0 "watts per kelvin" }
    /// A density of heat flow rate.
    HeatFlux("density of heat flow rate", "W/m2") { from_w_per_m2 / as_w_per_m2 = 1.0 "watts per square metre" }
    /// A heat flow rate for each metre of a linear thermal bridge.
    LinearHeatFlow("heat flow rate per length", "W/m") { from_w_per_m / as_w_per_m = 1.0 "watts per metre" }
    /// A specific heat capacity.
    SpecificHeat("specific heat capacity", "J/(kg.K)") { from_j_per_kgk / as_j_per_kgk = 1.0 "joules per kilogram kelvin" }
    /// An areal heat capacity.
    ArealHeatCapacity("areal heat capacity", "J/(m2.K)") { from_j_per_m2k / as_j_per_m2k = 1.0 "joules per square metre kelvin" }
    /// A partial pressure of water vapour.
    VapourPressure("vapour pressure", "Pa") { from_pa / as_pa = 1.0 "pascals" }
    /// A water vapour permeability.
    VapourPermeability("vapour permeability", "kg/(m.s.Pa)") { from_kg_per_mspa / as_kg_per_mspa = 1.0 "kilograms per metre second pascal" }
    /// A rate of moisture flow through a square metre.
    MoistureFlux("density of moisture flow rate", "kg/(m2.s)") { from_kg_per_m2s / as_kg_per_m2s = 1.0 "kilograms per square metre second" }
    /// A suction: how far the pressure of the pore water lies below that of the air.
    Suction("suction", "Pa") { from_pa / as_pa = 1.0 "pascals" }
    /// A liquid conductivity: moisture flow rate by gradient of suction.
    LiquidConductivity("liquid conductivity", "s") { from_seconds / as_seconds = 1.0 "kilograms per metre second pascal" }
    /// A moisture diffusivity: moisture flow rate by gradient of water content.
    Diffusivity("moisture diffusivity", "m2/s") { from_m2_per_s / as_m2_per_s = 1.0 "square metres per second" }
    /// A water absorption coefficient.
    WaterAbsorption("water absorption coefficient", "kg/(m2.s0.5)") { from_kg_per_m2_root_s / as_kg_per_m2_root_s = 1.0 "kilograms per square metre and root second" }
    /// A pressure of the wind, or of a load per area on the facade.
    WindPressure("wind pressure", "Pa") { from_pa / as_pa = 1.0 "pascals", from_kpa / as_kpa = 1e3 "kilopascals" }
    /// A speed of the wind.
    WindSpeed("wind speed", "m/s") { from_m_per_s / as_m_per_s = 1.0 "metres per second" }
    /// A force.
    Force("force", "N") { from_n / as_n = 1.0 "newtons", from_kn / as_kn = 1e3 "kilonewtons" }
    /// A stress or strength in a material.
    Stress("stress", "Pa") { from_pa / as_pa = 1.0 "pascals", from_mpa / as_mpa = 1e6 "megapascals", from_kpa / as_kpa = 1e3 "kilopascals" }
    /// A number of things per area.
    PerArea("number per area", "1/m2") { from_per_m2 / as_per_m2 = 1.0 "per square metre" }
    /// A span of time.
    Duration("duration", "s") { from_seconds / as_seconds = 1.0 "seconds", from_hours / as_hours = 3600.0 "hours", from_days / as_days = 86400.0 "days" }
    /// An amount of energy.
    Energy("energy", "J") { from_j / as_j = 1.0 "joules", from_kwh / as_kwh = 3.6e6 "kilowatt hours" }
    /// An amount of energy through or for a square metre.
    ArealEnergy("energy per area", "J/m2") { from_j_per_m2 / as_j_per_m2 = 1.0 "joules per square metre", from_kwh_per_m2 / as_kwh_per_m2 = 3.6e6 "kilowatt hours per square metre" }
    /// A heat transfer coefficient of a part of a building.
    HeatTransferCoefficient("heat transfer coefficient", "W/K") { from_w_per_k / as_w_per_k = 1.0 "watts per kelvin" }
    /// A temperature difference summed over time, such as degree days.
    DegreeTime("temperature difference over time", "K.s") { from_kelvin_seconds / as_kelvin_seconds = 1.0 "kelvin seconds", from_kelvin_days / as_kelvin_days = 86400.0 "kelvin days" }
    /// A mass of emissions by energy.
    EmissionFactor("emission by energy", "kg/J") { from_kg_per_j / as_kg_per_j = 1.0 "kilograms per joule", from_kg_per_kwh / as_kg_per_kwh = 2.777_777_777_777_778e-7 "kilograms per kilowatt hour" }
    /// An acceleration.
    Acceleration("acceleration", "m/s2") { from_m_per_s2 / as_m_per_s2 = 1.0 "metres per second squared" }
}

macro_rules! products {
    ($( $a:ident * $b:ident = $c:ident ),* $(,)?) => { $(
        impl core::ops::Mul<$b> for $a { type Output = $c; fn mul(self, o: $b) -> $c { $c(self.0 * o.0) } }
    )* };
}
macro_rules! quotients {
    ($( $a:ident / $b:ident = $c:ident ),* $(,)?) => { $(
        impl core::ops::Div<$b> for $a { type Output = $c; fn div(self, o: $b) -> $c { $c(self.0 / o.0) } }
    )* };
}

// The lawful products and quotients, one by one. A line missing here is a unit error caught by the compiler.
products! {
    Length * Length = Area, Area * Length = Volume, Length * Area = Volume,
    AreaMass * Area = Mass, Area * AreaMass = Mass, Density * Length = AreaMass, Length * Density = AreaMass, Density * Volume = Mass,
    PointTransmittance * PerArea = Transmittance, PerArea * PointTransmittance = Transmittance,
    Transmittance * Length = LinearTransmittance, Length * Transmittance = LinearTransmittance,
    LinearTransmittance * TemperatureDifference = LinearHeatFlow,
    Transmittance * DegreeTime = ArealEnergy, HeatTransferCoefficient * DegreeTime = Energy, EmissionFactor * Energy = Mass, Transmittance * Area = HeatTransferCoefficient,
    Transmittance * TemperatureDifference = HeatFlux, HeatFlux * ThermalResistance = TemperatureDifference,
    PerArea * Area = Number, Area * PerArea = Number,
    Stress * Area = Force, WindPressure * Area = Force, Force * PerArea = WindPressure, PerArea * Force = WindPressure,
    AreaMass * Acceleration = WindPressure, MoistureFlux * Duration = AreaMass,
}
quotients! {
    Area / Length = Length, Volume / Length = Area, Volume / Area = Length,
    Length / Conductivity = ThermalResistance, Length / ThermalResistance = Conductivity, Conductivity / Length = Transmittance,
    LinearTransmittance / Length = Transmittance, TemperatureDifference / ThermalResistance = HeatFlux,
    HeatFlux / TemperatureDifference = Transmittance, LinearHeatFlow / TemperatureDifference = LinearTransmittance, Mass / Area = AreaMass, Mass / AreaMass = Area,
    WindPressure / Force = PerArea, Force / Area = WindPressure, WindPressure / PerArea = Force, AreaMass / Duration = MoistureFlux,
}

/// A dimensionless result of a lawful product; read it with [`Number::value`].
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Number(f64);
impl Number {
    /// The bare number.
    pub const fn value(self) -> f64 {
        self.0
    }
}
impl Quantity for Number {
    const KIND: &'static str = "number";
    const UNIT: &'static str = "1";
    fn si(self) -> f64 {
        self.0
    }
    fn from_si(number: f64) -> Self {
        Self(number)
    }
}

impl ThermalResistance {
    /// The transmittance whose resistance this is, U = 1/R.
    pub fn reciprocal(self) -> Transmittance {
        Transmittance(1.0 / self.0)
    }
}
impl Transmittance {
    /// The resistance whose transmittance this is, R = 1/U.
    pub fn reciprocal(self) -> ThermalResistance {
        ThermalResistance(1.0 / self.0)
    }
}
impl Temperature {
    /// How far this lies above `other`.
    pub fn above(self, other: Self) -> TemperatureDifference {
        TemperatureDifference(self.0 - other.0)
    }
    /// This temperature raised by a difference.
    #[must_use]
    pub fn raised(self, by: TemperatureDifference) -> Self {
        Self(self.0 + by.0)
    }
}
